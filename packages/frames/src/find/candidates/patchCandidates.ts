import { hypot, norm } from '@isochip/core'
import type { Point } from '../../geometry/homography.ts'
import { constants } from '../constants.ts'
import type { EvenParts } from './evenParts.ts'
import type { FlatRegion } from './flatRegions.ts'
import { polygonArea, quadOfHull } from './quadOfHull.ts'

/** A flat region that may be a patch: a convex four-sided figure, near enough a parallelogram. */
export interface PatchCandidate {
  readonly centre: Point
  /** Full sides, as vectors; the mean of opposite sides. */
  readonly u: Point
  readonly v: Point
  readonly area: number
}

/** Of each patch one: it turns up at several thresholds. */
export function patchCandidates({ levels }: EvenParts): PatchCandidate[] {
  const candidates = new CandidateList()
  for (const regions of levels) {
    for (const region of regions) {
      const candidate = chipOf(region)
      if (candidate !== undefined) candidates.add(candidate)
    }
  }
  return candidates.list
}

function chipOf(region: FlatRegion): PatchCandidate | undefined {
  const { quadFill, sine: leastSine, longest, eroded } = constants.candidates
  const quad = quadOfHull(region.hull)
  if (quad === undefined) return undefined
  const quadArea = polygonArea(quad)
  if (region.area < quadFill * quadArea) return undefined
  const [a, b, c, d] = quad
  const u: Point = [(b[0] - a[0] + c[0] - d[0]) / 2, (b[1] - a[1] + c[1] - d[1]) / 2]
  const v: Point = [(d[0] - a[0] + c[0] - b[0]) / 2, (d[1] - a[1] + c[1] - b[1]) / 2]
  const lu = norm(u)
  const lv = norm(v)
  const sine = Math.abs(u[0] * v[1] - u[1] * v[0]) / (lu * lv)
  if (!(sine > leastSine) || Math.max(lu, lv) > longest * Math.min(lu, lv)) return undefined
  const growU = (lu + 2 * eroded) / lu
  const growV = (lv + 2 * eroded) / lv
  return {
    centre: region.centre,
    u: [u[0] * growU, u[1] * growU],
    v: [v[0] * growV, v[1] * growV],
    area: quadArea * growU * growV,
  }
}

/** Side of the squares by which candidates are looked up, pixels. */
const square = 32

/**
 * Candidates, each patch once: it turns up at several thresholds, and the largest of its figures is the one nearest to its edges.
 * Looked up by squares of the picture, since walls of tiles have ten thousands.
 */
class CandidateList {
  readonly list: PatchCandidate[] = []
  readonly #squares = new Map<number, number[]>()

  add(candidate: PatchCandidate): void {
    const { sameReach, sameArea } = constants.candidates
    const reach = sameReach * Math.sqrt(candidate.area)
    const [x, y] = candidate.centre
    const [left, top] = [Math.floor((x - reach) / square), Math.floor((y - reach) / square)]
    const [right, bottom] = [Math.floor((x + reach) / square), Math.floor((y + reach) / square)]
    let first = Number.POSITIVE_INFINITY
    for (let row = top; row <= bottom; row++) {
      for (let column = left; column <= right; column++) {
        for (const i of this.#squares.get(keyOf(column, row)) ?? []) {
          const other = this.list[i]!
          if (i >= first || hypot(other.centre[0] - x, other.centre[1] - y) > reach) continue
          if (other.area > sameArea * candidate.area || candidate.area > sameArea * other.area) continue
          first = i
        }
      }
    }
    if (first === Number.POSITIVE_INFINITY) this.#put(this.list.length, candidate)
    else if (candidate.area > this.list[first]!.area) {
      const before = this.#squareOf(this.list[first]!)
      before.splice(before.indexOf(first), 1)
      this.#put(first, candidate)
    }
  }

  #squareOf({ centre: [x, y] }: PatchCandidate): number[] {
    const key = keyOf(Math.floor(x / square), Math.floor(y / square))
    const found = this.#squares.get(key) ?? []
    this.#squares.set(key, found)
    return found
  }

  #put(i: number, candidate: PatchCandidate): void {
    this.list[i] = candidate
    this.#squareOf(candidate).push(i)
  }
}

const keyOf = (column: number, row: number) => 4096 * row + column
