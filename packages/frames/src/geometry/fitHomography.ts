import { type Mat3, multiply3 } from '@isochip/core'
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
  for (const [x, y] of points) distance += Math.hypot(x - mx, y - my) / n
  return { mx, my, s: distance > 0 ? 1 / distance : 1 }
}

/**
 * Least-squares plane projective map between point pairs (R. Hartley, A. Zisserman, Multiple View Geometry, 2nd ed.,
 * 2004, section 4.1, inhomogeneous, with their normalization), with a faint pull towards an affine map, so that few
 * or noisy points do not buy a wild perspective.
 *
 * @param weights one a pair, 0 leaves a pair out
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
  const row = new Float64Array(8)
  const add = (value: number, weight: number) => {
    for (let i = 0; i < 8; i++) {
      right[i]! += weight * row[i]! * value
      for (let j = 0; j <= i; j++) normal[8 * i + j]! += weight * row[i]! * row[j]!
    }
  }
  for (let k = 0; k < from.length; k++) {
    const weight = weights?.[k] ?? 1
    if (weight === 0) continue
    const x = (from[k]![0] - a.mx) * a.s
    const y = (from[k]![1] - a.my) * a.s
    const u = (to[k]![0] - b.mx) * b.s
    const v = (to[k]![1] - b.my) * b.s
    row.set([x, y, 1, 0, 0, 0, -u * x, -u * y])
    add(u, weight)
    row.set([0, 0, 0, x, y, 1, -v * x, -v * y])
    add(v, weight)
  }
  // A perspective of 0.1 per mean distance costs as much as one pair that is off by 0.003 of it.
  for (const i of [6, 7]) normal[8 * i + i]! += 1e-3
  if (!solveNormal(normal, right)) return undefined
  const [p0, p1, p2, p3, p4, p5, p6, p7] = right as unknown as [
    number,
    number,
    number,
    number,
    number,
    number,
    number,
    number,
  ]
  const inner: Mat3 = [
    [p0, p1, p2],
    [p3, p4, p5],
    [p6, p7, 1],
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
