import { type Damped, dampedByCholesky, dampedByQr } from './damped.ts'
import type { LeastSquaresProblem } from './leastSquaresProblem.ts'

/** A step, where it starts, and buffers for where it leads. */
interface Step {
  readonly work: Damped
  readonly problem: LeastSquaresProblem
  readonly lambda: number
  readonly theta: Float64Array
  readonly r: Float64Array
  readonly J: Float64Array
  readonly trial: Float64Array
  readonly rTrial: Float64Array
  readonly JTrial: Float64Array
  /** The step δ; becomes δ + a/2. */
  readonly velocity: Float64Array
  /** For the gradient while the bend is worked out. */
  readonly kept: Float64Array
}

/** How far along a step the residuals' curve is looked at, as a share of it; as Transtrum and Sethna have it, from memory. */
const ahead = 0.1
/** A bend of more than this share of the step says that the curve is not known so far out (the same). */
const mostBend = 0.75

/**
 * Bend a step along the curve: δ + a/2, where a answers the second derivative of the residuals along δ. False where the bend
 * is not small beside the step, or the way there leaves the domain.
 */
export function bent({
  work,
  problem,
  lambda,
  theta,
  r,
  J,
  trial,
  rTrial,
  JTrial,
  velocity,
  kept,
}: Step): boolean {
  const { n, m, gradient, scale, step } = work
  for (let j = 0; j < m; j++) trial[j] = theta[j]! + ahead * velocity[j]!
  if (!problem.evaluate(trial, rTrial, JTrial)) return false
  for (let i = 0; i < n; i++) {
    let slope = 0
    for (let j = 0; j < m; j++) slope += J[i * m + j]! * velocity[j]!
    rTrial[i] = (2 / ahead) * ((rTrial[i]! - r[i]!) / ahead - slope)
  }
  kept.set(gradient)
  gradient.fill(0)
  for (let i = 0; i < n; i++) {
    for (let j = 0; j < m; j++) gradient[j]! += J[i * m + j]! * rTrial[i]!
  }
  if (!dampedByCholesky(work, lambda)) dampedByQr(work, lambda, J, rTrial, theta, undefined)
  gradient.set(kept)
  let bend = 0
  let length = 0
  for (let j = 0; j < m; j++) {
    bend += (scale[j]! * step[j]!) ** 2
    length += (scale[j]! * velocity[j]!) ** 2
    velocity[j]! += step[j]! / 2
  }
  return 2 * Math.sqrt(bend) <= mostBend * Math.sqrt(length)
}
