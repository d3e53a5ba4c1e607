import type { Range } from '@isochip/core'
import type { Frame } from '../frame/frame.ts'
import { nominalOf } from '../frame/nominalOf.ts'
import { mapQuad, type Quad } from '../geometry/homography.ts'
import { orderStatistic } from '../sample/orderStatistic.ts'
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

/** How even a channel of a patch is, as nominal fractions. */
export interface ChannelStructure {
  readonly level: number
  /** Change of the plane through the tiles' means from one side of the patch to the other, along its rows and columns. */
  readonly across: number
  readonly down: number
  /** Root mean square distance of the tiles' means from that plane. */
  readonly rough: number
  /** The same as noise alone would make it, by the differences of neighbouring tiles: an edge is in few of them. */
  readonly noise: number
}

/** All of it larger, as patches of a grid are sampled by shares of their width and height. */
function grown({ quad, centre: [x, y] }: SampledArea): Quad {
  const grow = span / sampledShare
  return mapQuad(quad, ([px, py]) => [x + grow * (px - x), y + grow * (py - y)])
}

/**
 * What is uneven within a patch: in a grid over more of it than its mean is taken of, so that an edge across it is seen; of a region
 * over the sampled part, since its neighbours may touch it and blur into the rest.
 */
export function patchStructure(
  frame: Frame,
  range: Range,
  area: SampledArea,
  inGrid: boolean,
): readonly ChannelStructure[] {
  const { data, width, height } = frame
  const nominal = nominalOf(frame, range)
  const unit = nominal(1) - nominal(0)
  const [a, b, c, d] = inGrid ? grown(area) : area.quad
  const side = tiles * samples
  const sums = new Float64Array(3 * tiles * tiles)
  for (let j = 0; j < side; j++) {
    const t = (j + 0.5) / side
    const row = 3 * tiles * Math.floor(j / samples)
    for (let i = 0; i < side; i++) {
      const s = (i + 0.5) / side
      const [left, top] = [a[0] + s * (b[0] - a[0]), a[1] + s * (b[1] - a[1])]
      const x = Math.floor(left + t * (d[0] + s * (c[0] - d[0]) - left))
      const y = Math.floor(top + t * (d[1] + s * (c[1] - d[1]) - top))
      const inside = Math.max(0, Math.min(height - 1, y)) * width + Math.max(0, Math.min(width - 1, x))
      const tile = row + 3 * Math.floor(i / samples)
      for (let channel = 0; channel < 3; channel++) sums[tile + channel]! += data[3 * inside + channel]!
    }
  }
  const scale = unit / samples ** 2
  return [0, 1, 2].map((channel) => {
    const values = Float64Array.from({ length: tiles * tiles }, (_, k) => scale * sums[3 * k + channel]!)
    // On an even grid about its middle the level and the two slopes of a plane do not depend on each other.
    let [level, across, down, squares] = [0, 0, 0, 0]
    for (const [k, value] of values.entries()) {
      level += value / tiles ** 2
      across += (value * ((k % tiles) - middle)) / moment
      down += (value * (Math.floor(k / tiles) - middle)) / moment
    }
    for (const [k, value] of values.entries()) {
      const plane = level + across * ((k % tiles) - middle) + down * (Math.floor(k / tiles) - middle)
      squares += (value - plane) ** 2
    }
    return {
      // Samples are codes: the foot of a narrow range is taken off the level alone.
      level: level + nominal(0),
      across: tiles * across,
      down: tiles * down,
      rough: Math.sqrt(squares / tiles ** 2),
      noise: noiseOf(values),
    }
  })
}

/** Noise of a tile's mean. Half of the differences between two numbers of a normal distribution are below 0.954 of its deviation. */
function noiseOf(values: Float64Array): number {
  const differences = new Float64Array(2 * tiles * (tiles - 1))
  let count = 0
  for (let j = 0; j < tiles; j++) {
    for (let i = 0; i < tiles; i++) {
      const at = j * tiles + i
      if (i < tiles - 1) differences[count++] = Math.abs(values[at + 1]! - values[at]!)
      if (j < tiles - 1) differences[count++] = Math.abs(values[at + tiles]! - values[at]!)
    }
  }
  return orderStatistic(differences, count >> 1) / 0.954
}
