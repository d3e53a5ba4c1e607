import { countScopes, third } from './countScopes.ts'
import { inks } from './inks.ts'
import type { Ink } from './paint.ts'
import { scopeLayout } from './scopeLayout.ts'
import type { ScopeStandard } from './standard.ts'
import type { ScopePixels } from './trace.ts'

const { width, height, parade, luma, vector } = scopeLayout

/** Each scope by itself: how bright a point is depends on the others of its own. */
const parts: readonly { left: number; top: number; width: number; height: number; ink: Ink }[] = [
  ...[inks.red, inks.green, inks.blue].map((ink, i) => ({
    left: parade.left + i * (third + parade.gap),
    top: parade.top,
    width: third,
    height: parade.height,
    ink,
  })),
  { ...luma, ink: inks.own },
  { left: vector.left, top: vector.top, width: vector.side, height: vector.side, ink: inks.own },
]

/**
 * Parade, luma waveform and vectorscope of a frame on one picture, RGBA, laid out by `scopeLayout`, painted as `paintTrace`
 * paints.
 *
 * @param target of the reference camera, behind, in the same encoding
 */
export function scopePicture(
  pixels: ScopePixels,
  standard: ScopeStandard,
  target?: ScopePixels,
): Uint8ClampedArray<ArrayBuffer> {
  const out = new Uint8ClampedArray(4 * width * height)
  if (target !== undefined) paint(out, countScopes(target, standard), inks.target, 0.8)
  paint(out, countScopes(pixels, standard), undefined, 1)
  return out
}

function paint(out: Uint8ClampedArray, hits: Uint32Array, ink: Ink | undefined, most: number): void {
  for (const part of parts) {
    const [r, g, b] = ink ?? part.ink
    const right = part.left + part.width
    let top = 1
    for (let y = part.top; y < part.top + part.height; y++)
      for (let at = y * width + part.left; at < y * width + right; at++) if (hits[at]! > top) top = hits[at]!
    const perLog = (0.75 * most) / Math.log2(1 + top)
    for (let y = part.top; y < part.top + part.height; y++) {
      for (let at = y * width + part.left; at < y * width + right; at++) {
        const count = hits[at]!
        if (count === 0) continue
        const light = most / 4 + perLog * Math.log2(1 + count)
        const to = 4 * at
        out[to] = out[to]! + light * r
        out[to + 1] = out[to + 1]! + light * g
        out[to + 2] = out[to + 2]! + light * b
        out[to + 3] = 255
      }
    }
  }
}
