import { hypot } from '@isochip/core'
import type { Point } from '../../geometry/homography.ts'
import type { EvenParts } from '../candidates/evenParts.ts'
import { constants } from '../constants.ts'
import type { WorkingImage } from '../prepare/workingImage.ts'
import { type Figure, figureOfPolygon } from './figure.ts'

/** Flat figures of a picture, in working pixels, the largest first, looked up by where they are. */
export class Blobs {
  readonly list: readonly Figure[]
  /** Of each the red, green and blue about its middle. */
  readonly colours: Float64Array
  /** Squares of the picture by rows, and of each where its blobs begin among `#sorted`; one more at the end. */
  readonly #begin: Int32Array
  readonly #sorted: Int32Array
  /** Of each blob among `#sorted` its middle, x and y, and its area. */
  readonly #places: Float64Array
  readonly #columns: number
  readonly #rows: number

  constructor(list: readonly Figure[], image: WorkingImage) {
    const { width, height } = image
    this.list = list
    this.colours = new Float64Array(3 * list.length)
    for (const [k, one] of list.entries()) addColour(image, one, this.colours.subarray(3 * k, 3 * k + 3))
    this.#columns = Math.floor(width / square)
    this.#rows = Math.floor(height / square)
    const wide = this.#columns + 1
    const squares = Int32Array.from(list, ({ centre: [x, y] }) => {
      const column = Math.max(0, Math.min(this.#columns, Math.floor(x / square)))
      return wide * Math.max(0, Math.min(this.#rows, Math.floor(y / square))) + column
    })
    const begin = new Int32Array(wide * (this.#rows + 1) + 1)
    for (const at of squares) begin[at + 1]!++
    for (let at = 1; at < begin.length; at++) begin[at]! += begin[at - 1]!
    const next = begin.slice()
    this.#sorted = new Int32Array(list.length)
    this.#places = new Float64Array(3 * list.length)
    squares.forEach((at, k) => {
      const i = next[at]!++
      this.#sorted[i] = k
      this.#places.set([...list[k]!.centre, list[k]!.area], 3 * i)
    })
    this.#begin = begin
  }

  /** The nearest blob to a point within a distance whose area is within a factor of one; −1 for none. */
  nearest(x: number, y: number, within: number, area: number, factor: number): number {
    let best = -1
    let least = within * within
    // A map that has run away asks for places anywhere, and of any size.
    const left = Math.max(0, Math.floor((x - within) / square))
    const right = Math.min(this.#columns, Math.floor((x + within) / square))
    if (right < left) return best
    const top = Math.max(0, Math.floor((y - within) / square))
    const bottom = Math.min(this.#rows, Math.floor((y + within) / square))
    const places = this.#places
    for (let row = top; row <= bottom; row++) {
      const first = row * (this.#columns + 1)
      const end = 3 * this.#begin[first + right + 1]!
      for (let i = 3 * this.#begin[first + left]!; i < end; i += 3) {
        const dx = places[i]! - x
        const dy = places[i + 1]! - y
        const distance = dx * dx + dy * dy
        const own = places[i + 2]!
        if (distance >= least || own > factor * area || area > factor * own) continue
        least = distance
        best = i
      }
    }
    return best < 0 ? best : this.#sorted[best / 3]!
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
function addColour(
  { width, height, data }: WorkingImage,
  { centre: [x, y], area }: Figure,
  out: Float64Array,
): void {
  const step = 0.2 * Math.sqrt(area)
  for (let j = -1; j <= 1; j++) {
    for (let i = -1; i <= 1; i++) {
      const px = Math.max(0, Math.min(width - 1, Math.floor(x + i * step)))
      const py = Math.max(0, Math.min(height - 1, Math.floor(y + j * step)))
      const at = 3 * (py * width + px)
      for (let c = 0; c < 3; c++) out[c]! += data[at + c]! / 9
    }
  }
}

const distance = ([ax, ay]: Point, [bx, by]: Point) => hypot(ax - bx, ay - by)

/** Ratio of the longest spread to the shortest. */
function elongation({ spread: [xx, xy, yy] }: Figure): number {
  const middle = (xx + yy) / 2
  const off = hypot((xx - yy) / 2, xy)
  return (middle + off) / (middle - off)
}
