import { hypot } from '@isochip/core'
import type { Point } from '../../geometry/homography.ts'
import { flatRegions } from '../candidates/flatRegions.ts'
import { noiseGradient } from '../candidates/patchCandidates.ts'
import { polygonArea } from '../candidates/quadOfHull.ts'
import { constants } from '../constants.ts'
import type { WorkingImage } from '../prepare/workingImage.ts'
import { type Figure, figureOfPolygon } from './figure.ts'

/** Flat figures of a picture, in working pixels, the largest first, looked up by where they are. */
export class Blobs {
  readonly list: readonly Figure[]
  readonly #squares = new Map<number, number[]>()

  readonly #columns: number
  readonly #rows: number

  constructor(list: readonly Figure[], width: number, height: number) {
    this.list = list
    this.#columns = Math.floor(width / square)
    this.#rows = Math.floor(height / square)
    list.forEach(({ centre: [x, y] }, k) => {
      const key = keyOf(Math.floor(x / square), Math.floor(y / square))
      const there = this.#squares.get(key)
      if (there === undefined) this.#squares.set(key, [k])
      else there.push(k)
    })
  }

  /** The nearest blob to a point within a distance whose area is within a factor of one; −1 for none. */
  nearest(x: number, y: number, within: number, area: number, factor: number): number {
    let best = -1
    let least = within * within
    // A map that has run away asks for places anywhere, and of any size.
    const left = Math.max(0, Math.floor((x - within) / square))
    const right = Math.min(this.#columns, Math.floor((x + within) / square))
    const top = Math.max(0, Math.floor((y - within) / square))
    const bottom = Math.min(this.#rows, Math.floor((y + within) / square))
    for (let row = top; row <= bottom; row++) {
      for (let column = left; column <= right; column++) {
        const there = this.#squares.get(keyOf(column, row))
        if (there === undefined) continue
        for (const k of there) {
          const one = this.list[k]!
          const dx = one.centre[0] - x
          const dy = one.centre[1] - y
          const distance = dx * dx + dy * dy
          if (distance >= least || one.area > factor * area || area > factor * one.area) continue
          least = distance
          best = k
        }
      }
    }
    return best
  }
}

/** Side of the squares by which blobs are looked up, working pixels. */
const square = 24
const keyOf = (column: number, row: number) => 8192 * row + column

/** Flat figures that may be patches: nearly convex, at several thresholds, each once. */
export function blobsOf({ width, height }: WorkingImage, gradient: Float32Array): Blobs {
  const { thresholds, overNoise, smallest, largest, eroded, hullFill, sameReach, sameArea } =
    constants.candidates
  const { most, longest } = constants.regions.blobs
  const noise = noiseGradient(gradient)
  const levels = [...new Set(thresholds.map((level) => Math.max(level, noise)))]
  if (levels.length < 3) levels.push(...overNoise.map((factor) => factor * noise))
  const limits = { smallest, largest: largest * width * height }
  const found: Figure[] = []
  for (const level of levels) {
    for (const region of flatRegions(gradient, width, height, level, limits)) {
      if (region.area < hullFill * polygonArea(region.hull)) continue
      const figure = figureOfPolygon(region.hull, eroded)
      if (figure === undefined || elongation(figure) > longest) continue
      found.push(figure)
    }
  }
  // Of one patch at several thresholds the largest figure is the one nearest to its edges.
  found.sort((a, b) => b.area - a.area)
  const kept: Figure[] = []
  const squares = new Map<number, Figure[]>()
  for (const figure of found) {
    const [x, y] = figure.centre
    const column = Math.floor(x / square)
    const row = Math.floor(y / square)
    const same = (other: Figure) =>
      distance(other.centre, figure.centre) < sameReach * Math.sqrt(other.area) &&
      other.area < sameArea * figure.area
    const about = [-1, 0, 1].flatMap((dy) =>
      [-1, 0, 1].flatMap((dx) => squares.get(keyOf(column + dx, row + dy)) ?? []),
    )
    if (about.some(same)) continue
    kept.push(figure)
    const key = keyOf(column, row)
    squares.set(key, [...(squares.get(key) ?? []), figure])
  }
  return new Blobs(kept.slice(0, most), width, height)
}

const distance = ([ax, ay]: Point, [bx, by]: Point) => hypot(ax - bx, ay - by)

/** Ratio of the longest spread to the shortest. */
function elongation({ spread: [xx, xy, yy] }: Figure): number {
  const middle = (xx + yy) / 2
  const off = hypot((xx - yy) / 2, xy)
  return (middle + off) / (middle - off)
}
