import { differences, type ScopeStandard } from './standard.ts'

/** Pixels of a frame, nominal: what `thinFrame` of @isochip/frames gives. */
export interface ScopePixels {
  readonly width: number
  readonly height: number
  /** Interleaved R′, G′, B′; `unit` stands for the nominal peak. */
  readonly data: ArrayLike<number>
  readonly unit: number
}

/** How often each point of a scope was hit, row by row from its top left. */
export interface Trace {
  readonly width: number
  readonly height: number
  readonly hits: Uint32Array
}

/** What 10 bits of a narrow-range signal carry besides sync: codes 4 to 1019 (ITU-R BT.709-6, item 4.6, in 8 bits 1 to 254). */
const lowestLevel = (4 - 64) / 876
const highestLevel = (1019 - 64) / 876

/** Row of a level, fractional, 0 at the upper border and `height` at the lower one. */
export const rowOfLevel = (level: number, height: number): number =>
  ((highestLevel - level) / (highestLevel - lowestLevel)) * height

/** The most that a vectorscope shows of C_B and C_R. */
const scopeReach = 0.56

/** Place of a colour difference across a vectorscope of `side`, fractional; C_R counts from the bottom. */
export const placeOfDifference = (value: number, side: number): number =>
  ((value + scopeReach) / (2 * scopeReach)) * side

const held = (at: number, size: number) => (at < 0 ? 0 : at >= size ? size - 1 : Math.floor(at))

function waveform(
  pixels: ScopePixels,
  width: number,
  height: number,
  level: (r: number, g: number, b: number) => number,
): Trace {
  const { data, unit } = pixels
  const hits = new Uint32Array(width * height)
  let at = 0
  for (let y = 0; y < pixels.height; y++) {
    for (let x = 0; x < pixels.width; x++, at += 3) {
      const value = level(data[at]!, data[at + 1]!, data[at + 2]!) / unit
      const column = Math.floor((x * width) / pixels.width)
      // What lies beyond is drawn at the border, as on an instrument.
      hits[held(rowOfLevel(value, height), height) * width + column]!++
    }
  }
  return { width, height, hits }
}

/** Y′ of every pixel at its place across the frame. */
export function lumaTrace(
  pixels: ScopePixels,
  { luma }: ScopeStandard,
  width: number,
  height: number,
): Trace {
  const [kr, kg, kb] = luma
  return waveform(pixels, width, height, (r, g, b) => kr * r + kg * g + kb * b)
}

/** R′, G′ and B′ likewise, each on a scope of its own. */
export const paradeTraces = (
  pixels: ScopePixels,
  width: number,
  height: number,
): readonly [Trace, Trace, Trace] => [
  waveform(pixels, width, height, (r) => r),
  waveform(pixels, width, height, (_, g) => g),
  waveform(pixels, width, height, (_, __, b) => b),
]

/** C_B to the right and C_R upwards of every pixel, on a square of `side`. */
export function vectorTrace(pixels: ScopePixels, { luma }: ScopeStandard, side: number): Trace {
  const { data, unit } = pixels
  const hits = new Uint32Array(side * side)
  for (let at = 0; at < data.length; at += 3) {
    const [, cb, cr] = differences(luma, data[at]! / unit, data[at + 1]! / unit, data[at + 2]! / unit)
    const x = held(placeOfDifference(cb, side), side)
    const y = held(side - placeOfDifference(cr, side), side)
    hits[y * side + x]!++
  }
  return { width: side, height: side, hits }
}
