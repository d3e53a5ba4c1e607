import { constants } from '../constants.ts'
import type { Blobs } from './blobs.ts'
import type { Constellation } from './constellation.ts'

/** Figures of a picture, each at the place of a region. */
export interface Pairing {
  readonly regions: readonly number[]
  readonly blobs: readonly number[]
}

/**
 * Are light regions light in the picture and dark ones dark, red ones redder and blue ones bluer than the rest? By correlations,
 * which exposure, contrast and white balance leave alone. A chart whose regions stand where regions stand when it is turned over
 * may lie in each of these ways.
 */
export function likelyColours(blobs: Blobs, { tones, turned }: Constellation, at: Pairing): boolean {
  const { leastLight, least } = constants.regions.likeness
  const { tones: known } = tones[tones.length >> 1]!
  return turned.some((places) => {
    const light = likeness(blobs.colours, known, places, at, lightness)
    if (light !== undefined && light < leastLight) return false
    const hue = likeness(blobs.colours, known, places, at, hues)
    const both = light === undefined || hue === undefined ? (light ?? hue ?? 1) : (light + hue) / 2
    return both >= least
  })
}

type Mix = readonly [r: number, g: number, b: number]
const lightness: readonly Mix[] = [[1, 1, 1]]
/** Redness and blueness. */
const hues: readonly Mix[] = [
  [1, -1, 0],
  [0, -1, 1],
]

/** Correlation over one or two mixes of the channels; `undefined` where the regions are alike. */
function likeness(
  seen: Float64Array,
  known: Float64Array,
  places: Int32Array,
  at: Pairing,
  mixes: readonly Mix[],
): number | undefined {
  const sums = new Float64Array(4)
  for (const mix of mixes) if (!addMoments(seen, known, places, at, mix, sums)) return undefined
  const own = sums[0]!
  if (own < sums[3]! * constants.regions.likeness.leastSpread ** 2) return undefined
  return sums[2]! > 0 ? sums[1]! / Math.sqrt(own * sums[2]!) : 0
}

/**
 * Adds a mix's squares of what the chart has about its mean, its products with what the picture has, the picture's squares, and how
 * many regions there are: this is asked for by the hundred thousand.
 *
 * @returns whether there are any
 */
function addMoments(
  seen: Float64Array,
  known: Float64Array,
  places: Int32Array,
  { regions, blobs }: Pairing,
  [r, g, b]: Mix,
  sums: Float64Array,
): boolean {
  let n = 0
  let x = 0
  let y = 0
  let xx = 0
  let xy = 0
  let yy = 0
  for (let k = 0; k < regions.length; k++) {
    const place = places[regions[k]!]!
    if (place < 0) continue
    const p = 3 * place
    const q = 3 * blobs[k]!
    const there = r * known[p]! + g * known[p + 1]! + b * known[p + 2]!
    const here = r * seen[q]! + g * seen[q + 1]! + b * seen[q + 2]!
    n++
    x += there
    y += here
    xx += there * there
    xy += there * here
    yy += here * here
  }
  if (n === 0) return false
  sums[0]! += xx - (x * x) / n
  sums[1]! += xy - (x * y) / n
  sums[2]! += Math.max(0, yy - (y * y) / n)
  sums[3]! += n
  return true
}
