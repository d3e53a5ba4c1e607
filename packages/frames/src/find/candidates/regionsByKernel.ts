import type { Point } from '../../geometry/homography.ts'
import { KernelRoom } from '../prepare/kernelRoom.ts'
import type { PictureKernel } from '../prepare/pictureKernel.ts'
import type { FlatRegion, RegionLimits } from './flatRegions.ts'

/**
 * `flatRegions` of one gradient map at several thresholds, in WebAssembly (`kernel/regions.ts`).
 *
 * @returns a function of the threshold
 */
export function regionsByKernel(
  kernel: PictureKernel,
  gradient: Float32Array,
  width: number,
  height: number,
  limits: RegionLimits,
): (threshold: number) => FlatRegion[] {
  const { smallest, largest, hullFill = 0 } = limits
  const { run } = kernel
  // Vectors reach beyond the end.
  const [map, end] = [0, 16 * Math.ceil(gradient.length / 4) + 64]
  kernel.singles(end / 4).set(gradient)
  return (threshold) => {
    const room = new KernelRoom(kernel, end)
    const list = (count: number) => room.take(4 * count)
    const count = run.countRuns!(map, width, height, threshold)!
    const starts = list(height + 1)
    const [runs, first, area, lastRow, place, kept] = [1, 2, 3, 4, 5, 6].map(() => list(count)) as Six
    run.joinRuns!(map, width, height, threshold, runs, first, starts)
    const all = run.sizes!(runs, first, starts, height, area, lastRow, smallest, largest, kept)!
    const left = largestOf(kernel.wholes().subarray(kept / 4, kept / 4 + all), kernel.wholes(), area, limits)
    const [topRow, offset] = [list(left), list(left)]
    const rows = run.placeRows!(starts, height, lastRow, place, kept, left, topRow, offset)!
    const sums = list(4 * left)
    const spans = list(rows)
    kernel.wholes().fill(0, sums / 4, spans / 4 + rows)
    run.spanRows!(runs, first, starts, height, place, offset, spans, sums)
    const hull = list(4 * height + 4)
    const out = list(3 * left + 4 * rows)
    const found = run.hulls!(area, lastRow, kept, left, topRow, spans, hullFill, hull, out)!
    return regionsAt(kernel, out, found, sums)
  }
}

type Six = [number, number, number, number, number, number]

/**
 * Where there are more than the limits allow, moves the largest regions to the front, in their order.
 *
 * @returns how many are left
 */
function largestOf(kept: Int32Array, memory: Int32Array, area: number, { most }: RegionLimits): number {
  if (most === undefined || kept.length <= most) return kept.length
  const areaOf = (run: number) => memory[area / 4 + run]!
  const largest = kept.slice().sort((a, b) => areaOf(b) - areaOf(a) || a - b)
  kept.set(largest.subarray(0, most).sort())
  return most
}

function regionsAt(kernel: PictureKernel, out: number, count: number, sums: number): FlatRegion[] {
  const wholes = kernel.wholes()
  const doubles = new Float64Array(wholes.buffer)
  const regions: FlatRegion[] = []
  for (let k = 0, at = out / 4; k < count; k++) {
    const place = sums / 8 + 2 * wholes[at]!
    const area = wholes[at + 1]!
    const points = wholes[at + 2]!
    const centre: Point = [doubles[place]! / area + 0.5, doubles[place + 1]! / area + 0.5]
    regions.push({ area, centre, hull: hullAt(wholes, at + 3, points) })
    at += 3 + points
  }
  return regions
}

/** From the leftmost point on, of several the uppermost. */
function hullAt(wholes: Int32Array, at: number, count: number): Point[] {
  let start = 0
  let least = Number.POSITIVE_INFINITY
  for (let k = 0; k < count; k++) {
    const pair = wholes[at + k]!
    const order = ((pair & 0xffff) << 15) + (pair >>> 16)
    if (order >= least) continue
    least = order
    start = k
  }
  return Array.from({ length: count }, (_, k): Point => {
    const pair = wholes[at + ((start + k) % count)]!
    return [pair & 0xffff, pair >>> 16]
  })
}
