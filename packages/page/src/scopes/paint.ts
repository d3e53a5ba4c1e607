import type { LegalMap } from './legalRange.ts'
import type { ScopePixels, Trace } from './trace.ts'

/** Red, green, blue, 0…255. */
export type Ink = readonly [number, number, number]

/**
 * Lays a trace over an RGBA picture of its size. Light adds, as on a screen that glows; how bright a point is grows with the
 * logarithm of its hits, so that a single pixel shows beside a patch of thousands.
 *
 * @param most share of full light at the point that was hit most, 0…1
 */
export function paintTrace(picture: Uint8ClampedArray, { hits }: Trace, [r, g, b]: Ink, most = 1): void {
  let top = 0
  for (const count of hits) if (count > top) top = count
  const perLog = most / Math.log2(1 + Math.max(top, 1))
  for (let i = 0, at = 0; i < hits.length; i++, at += 4) {
    const count = hits[i]!
    if (count === 0) continue
    // A quarter from the first hit on: fainter would not be seen.
    const light = most / 4 + (3 / 4) * perLog * Math.log2(1 + count)
    picture[at] = picture[at]! + light * r
    picture[at + 1] = picture[at + 1]! + light * g
    picture[at + 2] = picture[at + 2]! + light * b
    picture[at + 3] = 255
  }
}

/** The frame in grey, with what lies below (`below`) and above (`above`) the legal range in colour: RGBA. */
export function paintLegal(
  { width, height, data, unit }: ScopePixels,
  { marks }: LegalMap,
  below: Ink,
  above: Ink,
): Uint8ClampedArray {
  const picture = new Uint8ClampedArray(4 * width * height)
  for (let i = 0, from = 0, at = 0; i < marks.length; i++, from += 3, at += 4) {
    const mark = marks[i]!
    const grey = (80 * (data[from]! + 2 * data[from + 1]! + data[from + 2]!)) / (4 * unit) + 60
    const [r, g, b] = mark === 0 ? [grey, grey, grey] : mark === 1 ? below : above
    picture[at] = r
    picture[at + 1] = g
    picture[at + 2] = b
    picture[at + 3] = 255
  }
  return picture
}
