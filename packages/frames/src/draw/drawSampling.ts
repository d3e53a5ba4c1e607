import { hypot } from '@isochip/core'
import type { Frame } from '../frame/frame.ts'
import { mapQuad, type Point, type Quad } from '../geometry/homography.ts'
import type { PatchArea } from '../sample/area/patchAreas.ts'
import { boxLuma, type Canvas, drawLine, drawText, fillPolygon, type Ink } from './canvas.ts'
import { displayFrame } from './displayFrame.ts'
import { textHeight, textWidth } from './glyphs.ts'

export interface DrawOptions {
  /** Patches that clip, by name, or the areas themselves where several charts are drawn: crossed out, with the word. */
  readonly clipped?: readonly (string | PatchArea)[]
  /** Patches left out for another reason, likewise: one stroke through them, broken outline. */
  readonly excluded?: readonly (string | PatchArea)[]
  /** Where several charts are drawn: at which of the areas each begins. Its patches are numbered from there. Default 0 alone. */
  readonly starts?: readonly number[]
  /** Longest side of the picture in pixels; larger frames are scaled down. Default 1600. */
  readonly longest?: number
  /**
   * Are the samples light, so that a screen needs its curve over them (IEC 61966-2-1)? Default: floats are, unless the
   * frame says where they clip, as the levels of a movie do.
   */
  readonly light?: boolean
}

const white: Ink = [255, 255, 255]
const black: Ink = [0, 0, 0]

/**
 * The frame, 8 bit, with the sampled areas drawn on it: every area outlined, white within black so that it shows on
 * any patch; numbers, and names where they fit; the first patch of a chart with a filled corner, and an arrow to the second
 * that tells the reading direction. Shape, not colour, tells what a mark means.
 */
export function drawSampling(frame: Frame, areas: readonly PatchArea[], options: DrawOptions = {}): Frame {
  const light = options.light ?? (frame.bits === 'float' && frame.clip === undefined)
  const picture = displayFrame(frame, options.longest ?? 1600, light)
  const sx = picture.width / frame.width
  const sy = picture.height / frame.height
  const canvas: Canvas = { ...picture, data: picture.data as Uint8Array }
  const scaled = (point: Point): Point => [point[0] * sx, point[1] * sy]
  const quads = areas.map(({ quad }) => mapQuad(quad, scaled))
  const thin = Math.max(1.2, Math.max(picture.width, picture.height) / 900)
  const [clips, isExcluded] = [options.clipped, options.excluded].map((marked = []) => {
    const set = new Set(marked)
    return areas.map((area) => set.has(area) || set.has(area.patch))
  }) as [boolean[], boolean[]]

  areas.forEach((_, i) => {
    const quad = quads[i]!
    const out = clips[i]! || isExcluded[i]!
    const strokes = sides(quad).flatMap(([a, b]) => (out ? dashes(a, b, 6 * thin) : [[a, b] as const]))
    // Strokes from the corners inwards leave the middle to the words.
    if (clips[i]) strokes.push([quad[0], mix(quad[0], quad[2], 0.24)], [quad[2], mix(quad[2], quad[0], 0.24)])
    if (out) strokes.push([quad[1], mix(quad[1], quad[3], 0.24)], [quad[3], mix(quad[3], quad[1], 0.24)])
    for (const [a, b] of strokes) drawLine(canvas, a, b, 3 * thin, black, 0.75)
    for (const [a, b] of strokes) drawLine(canvas, a, b, thin, white)
  })
  const { starts = [0] } = options
  for (const start of starts) markFirst(canvas, quads.slice(start), thin)
  const labels = areas.map(({ patch }, i): Label => {
    const state = clips[i] ? ['clipped'] : isExcluded[i] ? ['left out'] : []
    const number = i - Math.max(0, ...starts.filter((start) => start <= i)) + 1
    return { box: inner(quads[i]!), words: [String(number), patch, ...state] }
  })
  const scale = [4, 3, 2].find((size) => labels.every((one) => layout(one, size).complete)) ?? 1
  for (const one of labels) drawLabel(canvas, one, scale)
  return picture
}

const mix = (a: Point, b: Point, t: number): Point => [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])]

const sides = (quad: Quad) => quad.map((a, i) => [a, quad[(i + 1) % 4]!] as const)

function dashes(a: Point, b: Point, length: number): (readonly [Point, Point])[] {
  const count = Math.max(1, Math.round(hypot(b[0] - a[0], b[1] - a[1]) / (2 * length)))
  return Array.from(
    { length: count },
    (_, i) => [mix(a, b, (i + 0.2) / count), mix(a, b, (i + 0.8) / count)] as const,
  )
}

/** Corner of the first patch filled, and an arrow over the gap to its neighbour in reading direction. */
function markFirst(canvas: Canvas, quads: readonly Quad[], thin: number): void {
  const [first, second] = quads
  if (first === undefined) return
  const wedge = [first[0], mix(first[0], first[1], 0.34), mix(first[0], first[3], 0.34)]
  fillPolygon(canvas, wedge, white)
  wedge.forEach((point, i) => {
    drawLine(canvas, point, wedge[(i + 1) % 3]!, thin, black)
  })
  if (second === undefined) return
  const from = mix(first[1], first[2], 0.5)
  const to = mix(second[0], second[3], 0.5)
  const across: Point = [-(to[1] - from[1]), to[0] - from[0]]
  const barb = (side: number): Point => [
    mix(from, to, 0.7)[0] + side * 0.17 * across[0],
    mix(from, to, 0.7)[1] + side * 0.17 * across[1],
  ]
  const strokes = [
    [from, to],
    [to, barb(1)],
    [to, barb(-1)],
  ] as const
  for (const [a, b] of strokes) drawLine(canvas, a, b, 3.5 * thin, black, 0.75)
  for (const [a, b] of strokes) drawLine(canvas, a, b, 1.5 * thin, white)
}

interface Box {
  /** The middle. */
  readonly x: number
  readonly y: number
  readonly side: number
}

interface Label {
  readonly box: Box
  readonly words: readonly string[]
}

/** An upright square about the middle of a quad that surely lies within it. */
function inner(quad: Quad): Box {
  const x = quad.reduce((sum, point) => sum + point[0], 0) / 4
  const y = quad.reduce((sum, point) => sum + point[1], 0) / 4
  // An upright square of half side s touches a line at distance d, whose unit normal is (p, q), when s = d / (|p| + |q|).
  const reach = sides(quad).map(([a, b]) => {
    const twice = Math.abs((b[0] - a[0]) * (y - a[1]) - (b[1] - a[1]) * (x - a[0]))
    return twice / (Math.abs(b[0] - a[0]) + Math.abs(b[1] - a[1]))
  })
  return { x, y, side: 2 * Math.min(...reach) }
}

/** As many of the words as fit, one under the other; a name too long for one line breaks at its spaces. */
function layout(
  { box, words }: Label,
  scale: number,
): { readonly lines: readonly string[]; readonly complete: boolean } {
  const fits = (line: string) => textWidth(line) * scale <= box.side - 4 * scale
  const lines: string[] = []
  let complete = true
  for (const word of words) {
    const broken = fits(word) ? [word] : word.split(' ')
    if (broken.every(fits) && (lines.length + broken.length) * (textHeight + 2) * scale <= box.side)
      lines.push(...broken)
    else complete = false
  }
  return { lines, complete }
}

function drawLabel(canvas: Canvas, one: Label, scale: number): void {
  const { lines } = layout(one, scale)
  if (lines.length === 0) return
  const { x, y } = one.box
  const step = (textHeight + 2) * scale
  const width = Math.max(...lines.map(textWidth)) * scale
  const top = y - (lines.length * step) / 2 + scale
  const ink = boxLuma(canvas, x - width / 2, top, width, lines.length * step) > 110 ? black : white
  lines.forEach((line, i) => {
    drawText(canvas, line, x - (textWidth(line) * scale) / 2, top + i * step, scale, ink)
  })
}
