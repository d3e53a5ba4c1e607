import { hypot, type Mat3, multiply3 } from '@isochip/core'
import type { Point } from './homography.ts'
import { solveNormal } from './solveNormal.ts'

/** Similarity that moves points to a mean of 0 and a mean distance of 1, so that the equations are well scaled. */
function normalizer(points: readonly Point[]): {
  readonly mx: number
  readonly my: number
  readonly s: number
} {
  const n = points.length
  let mx = 0
  let my = 0
  for (const [x, y] of points) {
    mx += x / n
    my += y / n
  }
  let distance = 0
  for (const [x, y] of points) distance += hypot(x - mx, y - my) / n
  return { mx, my, s: distance > 0 ? 1 / distance : 1 }
}

/** Adds the equation of one coordinate, x·p₀ + y·p₁ + p₂ − value·(x·p₆ + y·p₇) = value, its own three unknowns from `at` on. */
function addEquation(
  normal: Float64Array,
  right: Float64Array,
  at: 0 | 3,
  x: number,
  y: number,
  value: number,
  weight: number,
): void {
  const s = -value * x
  const t = -value * y
  const wx = weight * x
  const wy = weight * y
  const ws = weight * s
  const wt = weight * t
  right[at]! += wx * value
  right[at + 1]! += wy * value
  right[at + 2]! += weight * value
  right[6]! += ws * value
  right[7]! += wt * value
  normal[9 * at]! += wx * x
  normal[9 * at + 8]! += wy * x
  normal[9 * at + 9]! += wy * y
  normal[9 * at + 16]! += weight * x
  normal[9 * at + 17]! += weight * y
  normal[9 * at + 18]! += weight
  normal[48 + at]! += ws * x
  normal[49 + at]! += ws * y
  normal[50 + at]! += ws
  normal[54]! += ws * s
  normal[56 + at]! += wt * x
  normal[57 + at]! += wt * y
  normal[58 + at]! += wt
  normal[62]! += wt * s
  normal[63]! += wt * t
}

/**
 * Least-squares plane projective map between point pairs (R. Hartley, A. Zisserman, Multiple View Geometry, 2nd ed.,
 * 2004, section 4.1, inhomogeneous, with their normalization), with a faint pull towards an affine map, so that few
 * or noisy points do not buy a wild perspective.
 *
 * @param weights one per pair, 0 leaves a pair out
 * @returns `undefined` when the points do not determine a map
 */
export function fitHomography(
  from: readonly Point[],
  to: readonly Point[],
  weights?: ArrayLike<number>,
): Mat3 | undefined {
  const a = normalizer(from)
  const b = normalizer(to)
  const normal = new Float64Array(64)
  const right = new Float64Array(8)
  for (let k = 0; k < from.length; k++) {
    const weight = weights?.[k] ?? 1
    if (weight === 0) continue
    const x = (from[k]![0] - a.mx) * a.s
    const y = (from[k]![1] - a.my) * a.s
    const u = (to[k]![0] - b.mx) * b.s
    const v = (to[k]![1] - b.my) * b.s
    addEquation(normal, right, 0, x, y, u, weight)
    addEquation(normal, right, 3, x, y, v, weight)
  }
  // A perspective of 0.1 per mean distance costs as much as one pair that is off by 0.003 of it.
  for (const i of [6, 7]) normal[8 * i + i]! += 1e-3
  if (!solveNormal(normal, right)) return undefined
  const p = (i: number) => right[i]!
  const inner: Mat3 = [
    [p(0), p(1), p(2)],
    [p(3), p(4), p(5)],
    [p(6), p(7), 1],
  ]
  const before: Mat3 = [
    [a.s, 0, -a.s * a.mx],
    [0, a.s, -a.s * a.my],
    [0, 0, 1],
  ]
  const after: Mat3 = [
    [1 / b.s, 0, b.mx],
    [0, 1 / b.s, b.my],
    [0, 0, 1],
  ]
  return multiply3(after, multiply3(inner, before))
}
