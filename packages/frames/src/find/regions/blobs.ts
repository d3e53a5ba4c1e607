import { hypot } from '@isochip/core'
import type { Point } from '../../geometry/homography.ts'
import type { EvenParts } from '../candidates/evenParts.ts'
import { constants } from '../constants.ts'
import type { WorkingImage } from '../prepare/workingImage.ts'
import { type Figure, figureOfPolygon } from './figure.ts'

/** Flat figures of a picture, in working pixels, the largest first, looked up by where they are. */
export class Blobs {
  readonly list: readonly Figure[]
  /** Of each the lightness about its middle. */
  readonly light: Float64Array
  readonly #squares = new Map<number, number[]>()

  readonly #columns: number
  readonly #rows: number

  constructor(list: readonly Figure[], image: WorkingImage) {
    const { width, height } = image
    this.list = list
    this.light = Float64Array.from(list, (one) => lightnessOf(image, one))
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
export function blobsOf({ levels }: EvenParts, image: WorkingImage): Blobs {
  const { eroded, sameReach, sameArea } = constants.candidates
  const { most, longest } = constants.regions.blobs
  const found: Figure[] = []
  for (const regions of levels) {
    for (const { hull } of regions) {
      const figure = figureOfPolygon(hull, eroded)
      if (figure !== undefined && elongation(figure) <= longest) found.push(figure)
    }
  }
  // Of one patch at several thresholds the largest figure is the one nearest to its edges.
  found.sort((a, b) => b.area - a.area)
  const kept: Figure[] = []
  const squares = new Map<number, Figure[]>()
  for (const figure of found) {
    if (kept.length >= most) break
    const [x, y] = figure.centre
    const column = Math.floor(x / square)
    const row = Math.floor(y / square)
    const same = (other: Figure) =>
      other.area < sameArea * figure.area &&
      distance(other.centre, figure.centre) < sameReach * Math.sqrt(other.area)
    let known = false
    for (let dy = -1; dy <= 1 && !known; dy++)
      for (let dx = -1; dx <= 1 && !known; dx++)
        known = squares.get(keyOf(column + dx, row + dy))?.some(same) ?? false
    if (known) continue
    kept.push(figure)
    const key = keyOf(column, row)
    const there = squares.get(key)
    if (there === undefined) squares.set(key, [figure])
    else there.push(figure)
  }
  return new Blobs(kept, image)
}

/** Mean of a few pixels well within a figure. */
function lightnessOf({ width, height, data }: WorkingImage, { centre: [x, y], area }: Figure): number {
  const step = 0.2 * Math.sqrt(area)
  let sum = 0
  for (let j = -1; j <= 1; j++) {
    for (let i = -1; i <= 1; i++) {
      const px = Math.max(0, Math.min(width - 1, Math.floor(x + i * step)))
      const py = Math.max(0, Math.min(height - 1, Math.floor(y + j * step)))
      const at = 3 * (py * width + px)
      sum += data[at]! + data[at + 1]! + data[at + 2]!
    }
  }
  return sum / 27
}

const distance = ([ax, ay]: Point, [bx, by]: Point) => hypot(ax - bx, ay - by)

/** Ratio of the longest spread to the shortest. */
function elongation({ spread: [xx, xy, yy] }: Figure): number {
  const middle = (xx + yy) / 2
  const off = hypot((xx - yy) / 2, xy)
  return (middle + off) / (middle - off)
}
