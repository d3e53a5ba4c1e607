import type { Range } from '@isochip/core'
import type { Frame } from '../frame/frame.ts'
import { nominalOf } from '../frame/nominalOf.ts'
import type { SampledArea } from '../sample/sampleChart.ts'

/** Tiles along a side, and samples along a side of each. */
const tiles = 8
const samples = 4
/** Share of the patch's width that they span, and that of the sampled area (`sampleChart`). */
const span = 0.736
const sampledShare = 0.55
const middle = (tiles - 1) / 2
/** Sum over all tiles of the square of one coordinate about the middle: n² · (n² − 1) / 12. */
const moment = (tiles ** 2 * (tiles ** 2 - 1)) / 12

/** How even a patch is, of its worst channel, as nominal fractions. */
export interface PatchStructure {
  /** Root mean square distance of the tiles' means from a plane. */
  readonly rough: number
  /** Change of that plane from one side of the patch to the other. */
  readonly slope: number
}

/** What is uneven within a patch, over more of it than its mean is taken of, so that an edge across it is seen. */
export function patchStructure(frame: Frame, range: Range, { quad, centre }: SampledArea): PatchStructure {
  const { data, width, height } = frame
  const nominal = nominalOf(frame, range)
  const unit = nominal(1) - nominal(0)
  const grow = span / sampledShare
  const [a, b, c, d] = quad.map(([x, y]) => [
    centre[0] + grow * (x - centre[0]),
    centre[1] + grow * (y - centre[1]),
  ]) as [number[], number[], number[], number[]]
  const side = tiles * samples
  const sums = new Float64Array(3 * tiles * tiles)
  for (let j = 0; j < side; j++) {
    const t = (j + 0.5) / side
    const row = 3 * tiles * Math.floor(j / samples)
    for (let i = 0; i < side; i++) {
      const s = (i + 0.5) / side
      const [left, top] = [a[0]! + s * (b[0]! - a[0]!), a[1]! + s * (b[1]! - a[1]!)]
      const x = Math.floor(left + t * (d[0]! + s * (c[0]! - d[0]!) - left))
      const y = Math.floor(top + t * (d[1]! + s * (c[1]! - d[1]!) - top))
      const inside = Math.max(0, Math.min(height - 1, y)) * width + Math.max(0, Math.min(width - 1, x))
      const tile = row + 3 * Math.floor(i / samples)
      for (let channel = 0; channel < 3; channel++) sums[tile + channel]! += data[3 * inside + channel]!
    }
  }
  const scale = unit / samples ** 2
  let rough = 0
  let slope = 0
  for (let channel = 0; channel < 3; channel++) {
    // On an even grid about its middle the level and the two slopes of a plane do not depend on each other.
    let [level, across, down, squares] = [0, 0, 0, 0]
    for (let k = 0; k < tiles * tiles; k++) {
      const value = scale * sums[3 * k + channel]!
      level += value / tiles ** 2
      across += (value * ((k % tiles) - middle)) / moment
      down += (value * (Math.floor(k / tiles) - middle)) / moment
    }
    for (let k = 0; k < tiles * tiles; k++) {
      const plane = level + across * ((k % tiles) - middle) + down * (Math.floor(k / tiles) - middle)
      squares += (scale * sums[3 * k + channel]! - plane) ** 2
    }
    rough = Math.max(rough, Math.sqrt(squares / tiles ** 2))
    slope = Math.max(slope, tiles * Math.max(Math.abs(across), Math.abs(down)))
  }
  return { rough, slope }
}
