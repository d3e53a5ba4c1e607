import { cholesky, divideBySquare } from './cholesky.ts'
import type { LeastSquaresProblem } from './leastSquaresProblem.ts'
import { safePivot } from './tolerances.ts'
import { triangularise } from './triangularise.ts'

/** Buffers of one damped linear step. Matrices are row-major, `normal` holds the upper half, `factor` the lower. */
export interface Damped {
  readonly n: number
  readonly m: number
  readonly normal: Float64Array
  readonly factor: Float64Array
  readonly gradient: Float64Array
  readonly scale: Float64Array
  readonly step: Float64Array
}

/** (JᵀJ + λD²) step = −Jᵀr by Cholesky in scaled parameters. False, with nothing written, where that is not safe. */
export function dampedByCholesky(work: Damped, lambda: number): boolean {
  const { m, normal, factor, gradient, scale, step } = work
  for (let j = 0; j < m; j++) {
    for (let k = j; k < m; k++) factor[k * m + j] = normal[j * m + k]! / (scale[j]! * scale[k]!)
    factor[j * m + j]! += lambda
  }
  if (!cholesky(factor, m, { least: safePivot })) return false
  for (let j = 0; j < m; j++) step[j] = -gradient[j]! / scale[j]!
  divideBySquare(factor, step)
  for (let j = 0; j < m; j++) step[j]! /= scale[j]!
  return true
}

/** The same step from the stacked system [J; prior; √λ·D] by Householder QR, which does not square the condition. */
export function dampedByQr(
  work: Damped,
  lambda: number,
  J: Float64Array,
  r: Float64Array,
  theta: Float64Array,
  prior: LeastSquaresProblem['prior'],
): void {
  const { n, m, scale, step } = work
  const width = m + 1
  // The form of a prior as rows of its own: Lᵀ, where L·Lᵀ is the form.
  const tied = prior?.form?.slice()
  const rows = n + 2 * m + (tied !== undefined && cholesky(tied, m) ? m : 0)
  const stacked = new Float64Array(rows * width)
  for (let i = 0; i < n; i++) {
    for (let j = 0; j < m; j++) stacked[i * width + j] = J[i * m + j]! / scale[j]!
    stacked[i * width + m] = -r[i]!
  }
  const root = Math.sqrt(lambda)
  for (let j = 0; j < m; j++) {
    if (prior !== undefined) {
      stacked[(n + j) * width + j] = prior.strength[j]! / scale[j]!
      stacked[(n + j) * width + m] = prior.strength[j]! * (prior.centre[j]! - theta[j]!)
    }
    stacked[(n + m + j) * width + j] = root
  }
  if (prior !== undefined && tied !== undefined && rows > n + 2 * m) {
    for (let i = 0; i < m; i++) {
      const row = (n + 2 * m + i) * width
      for (let j = i; j < m; j++) {
        const value = tied[j * m + i]!
        stacked[row + j] = value / scale[j]!
        stacked[row + m]! += value * (prior.centre[j]! - theta[j]!)
      }
    }
  }
  triangularise(stacked, rows, width, m)
  for (let j = m - 1; j >= 0; j--) {
    let sum = stacked[j * width + m]!
    for (let k = j + 1; k < m; k++) sum -= stacked[j * width + k]! * step[k]!
    const diagonal = stacked[j * width + j]!
    step[j] = diagonal === 0 ? 0 : sum / diagonal
  }
  for (let j = 0; j < m; j++) step[j]! /= scale[j]!
}
