import type { Point } from '../geometry/homography.ts'
import { drawable, glyph } from './glyphs.ts'

/** An 8-bit RGB picture that is drawn on. */
export interface Canvas {
  readonly width: number
  readonly height: number
  readonly data: Uint8Array
}

export type Ink = readonly [r: number, g: number, b: number]

function blend(canvas: Canvas, x: number, y: number, ink: Ink, alpha: number): void {
  if (x < 0 || y < 0 || x >= canvas.width || y >= canvas.height || alpha <= 0) return
  const at = 3 * (y * canvas.width + x)
  const cover = Math.min(1, alpha)
  for (let c = 0; c < 3; c++)
    canvas.data[at + c] = Math.round(canvas.data[at + c]! + cover * (ink[c]! - canvas.data[at + c]!))
}

/** A straight stroke with round ends; what falls outside the picture is cut off. */
export function drawLine(canvas: Canvas, a: Point, b: Point, width: number, ink: Ink, alpha = 1): void {
  const edge = width / 2 + 0.5
  const reach = width / 2 + 1
  const dx = b[0] - a[0]
  const dy = b[1] - a[1]
  const square = dx * dx + dy * dy
  const top = Math.max(0, Math.floor(Math.min(a[1], b[1]) - reach))
  const bottom = Math.min(canvas.height - 1, Math.ceil(Math.max(a[1], b[1]) + reach))
  const left = Math.max(0, Math.floor(Math.min(a[0], b[0]) - reach))
  const right = Math.min(canvas.width - 1, Math.ceil(Math.max(a[0], b[0]) + reach))
  for (let y = top; y <= bottom; y++) {
    for (let x = left; x <= right; x++) {
      const px = x + 0.5 - a[0]
      const py = y + 0.5 - a[1]
      const along = square > 0 ? Math.min(1, Math.max(0, (px * dx + py * dy) / square)) : 0
      const away = (px - along * dx) ** 2 + (py - along * dy) ** 2
      if (away < edge * edge) blend(canvas, x, y, ink, alpha * (edge - Math.sqrt(away)))
    }
  }
}

/** A filled convex polygon, hard-edged. */
export function fillPolygon(canvas: Canvas, points: readonly Point[], ink: Ink): void {
  const ys = points.map(([, y]) => y)
  const xs = points.map(([x]) => x)
  const turned = points.map((a, i) => ({ a, b: points[(i + 1) % points.length]! }))
  for (let y = Math.floor(Math.min(...ys)); y < Math.max(...ys); y++) {
    for (let x = Math.floor(Math.min(...xs)); x < Math.max(...xs); x++) {
      const sides = turned.map(
        ({ a, b }) => (b[0] - a[0]) * (y + 0.5 - a[1]) - (b[1] - a[1]) * (x + 0.5 - a[0]),
      )
      if (sides.every((side) => side >= 0) || sides.every((side) => side <= 0)) blend(canvas, x, y, ink, 1)
    }
  }
}

/** A text, its upper left corner at (x, y), every dot of it `scale` pixels wide. */
export function drawText(canvas: Canvas, text: string, x: number, y: number, scale: number, ink: Ink): void {
  let left = Math.round(x)
  for (const character of drawable(text)) {
    glyph(character).forEach((bits, column) => {
      for (let dot = 0; dot < 8 * scale * scale; dot++) {
        const row = Math.floor(dot / (scale * scale))
        if (((bits >> row) & 1) === 0) continue
        const px = left + column * scale + (dot % scale)
        const py = Math.round(y) + row * scale + (Math.floor(dot / scale) % scale)
        blend(canvas, px, py, ink, 1)
      }
    })
    left += 6 * scale
  }
}

/** Mean of the luma codes in a box, 0…255: is what stands there light or dark? */
export function boxLuma(canvas: Canvas, x: number, y: number, width: number, height: number): number {
  let sum = 0
  let count = 0
  for (let py = Math.max(0, Math.floor(y)); py < Math.min(canvas.height, y + height); py++) {
    for (let px = Math.max(0, Math.floor(x)); px < Math.min(canvas.width, x + width); px++) {
      const at = 3 * (py * canvas.width + px)
      sum += 0.2126 * canvas.data[at]! + 0.7152 * canvas.data[at + 1]! + 0.0722 * canvas.data[at + 2]!
      count++
    }
  }
  return count > 0 ? sum / count : 0
}
