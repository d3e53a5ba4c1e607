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
    const hue = likeness(blobs.colours, known, places, at, redness, blueness)
    const both = light === undefined || hue === undefined ? (light ?? hue ?? 1) : (light + hue) / 2
    return both >= least
  })
}

type Mix = readonly [r: number, g: number, b: number]
const lightness: Mix = [1, 1, 1]
const redness: Mix = [1, -1, 0]
const blueness: Mix = [0, -1, 1]

/** Correlation over one or two mixes of the channels; `undefined` where the regions are alike. */
function likeness(
  seen: Float64Array,
  known: Float64Array,
  places: Int32Array,
  { regions, blobs }: Pairing,
  ...mixes: readonly Mix[]
): number | undefined {
  let [own, both, others, count] = [0, 0, 0, 0]
  for (const [r, g, b] of mixes) {
    let [n, x, y, xx, xy, yy] = [0, 0, 0, 0, 0, 0]
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
    if (n === 0) return undefined
    own += xx - (x * x) / n
    both += xy - (x * y) / n
    others += Math.max(0, yy - (y * y) / n)
    count += n
  }
  if (own < count * constants.regions.likeness.leastSpread ** 2) return undefined
  return others > 0 ? both / Math.sqrt(own * others) : 0
}
