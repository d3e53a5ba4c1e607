import type { Range } from '@isochip/core'
import type { Frame } from '../frame/frame.ts'
import { nominalOf } from '../frame/nominalOf.ts'
import { solveNormal } from '../geometry/solveNormal.ts'
import type { SampledArea } from '../sample/sampleChart.ts'

/** Tiles along a side, and samples along a side of each. */
const tiles = 8
const samples = 4
/** Share of the patch's width that they span, and that of the sampled area (`sampleChart`). */
const span = 0.736
const sampledShare = 0.55

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
    for (let i = 0; i < side; i++) {
      const s = (i + 0.5) / side
      const at = (axis: 0 | 1, most: number) => {
        const upper = a[axis]! + s * (b[axis]! - a[axis]!)
        const lower = d[axis]! + s * (c[axis]! - d[axis]!)
        return Math.max(0, Math.min(most - 1, Math.floor(upper + t * (lower - upper))))
      }
      const pixel = 3 * (at(1, height) * width + at(0, width))
      const tile = 3 * (Math.floor(j / samples) * tiles + Math.floor(i / samples))
      for (let channel = 0; channel < 3; channel++) sums[tile + channel]! += data[pixel + channel]!
    }
  }
  const middle = (tiles - 1) / 2
  let rough = 0
  let slope = 0
  for (let channel = 0; channel < 3; channel++) {
    const normal = new Float64Array(9)
    const plane = new Float64Array(3)
    const each = (visit: (value: number, row: readonly [number, number, number]) => void) => {
      for (let k = 0; k < tiles * tiles; k++)
        visit((sums[3 * k + channel]! * unit) / samples ** 2, [
          1,
          (k % tiles) - middle,
          Math.floor(k / tiles) - middle,
        ])
    }
    each((value, row) => {
      for (let p = 0; p < 3; p++) {
        plane[p]! += row[p]! * value
        for (let q = 0; q <= p; q++) normal[3 * p + q]! += row[p]! * row[q]!
      }
    })
    if (!solveNormal(normal, plane)) continue
    let squares = 0
    each((value, row) => {
      squares += (value - row[0] * plane[0]! - row[1] * plane[1]! - row[2] * plane[2]!) ** 2
    })
    rough = Math.max(rough, Math.sqrt(squares / tiles ** 2))
    slope = Math.max(slope, tiles * Math.max(Math.abs(plane[1]!), Math.abs(plane[2]!)))
  }
  return { rough, slope }
}
