import { pow } from '../elementary/pow.ts'
import { arraysOf } from './arraysOf.ts'
import { bent } from './bent.ts'
import { type Damped, dampedByCholesky, dampedByQr } from './damped.ts'
import type { LeastSquaresProblem } from './leastSquaresProblem.ts'
import { normalEquations } from './normalEquations.ts'

export interface LevenbergMarquardtOptions {
  /** Default 200. */
  readonly maxIterations?: number
  /** Stop when the model of the cost promises a relative decrease below this. Default 1e-14. */
  readonly costTolerance?: number
  /** First damping, relative to the curvature in each parameter. Default 1e-4. */
  readonly damping?: number
}

type StopReason = 'cost' | 'step' | 'zero-residual' | 'iterations' | 'damping' | 'start'

export interface LeastSquaresSolution {
  readonly theta: Float64Array
  /** Σ r² and the prior's part. */
  readonly cost: number
  readonly residuals: Float64Array
  /** At the solution, row-major. */
  readonly jacobian: Float64Array
  /** Steps tried. */
  readonly iterations: number
  readonly converged: boolean
  readonly stopped: StopReason
}

/**
 * Levenberg–Marquardt with Marquardt's scaling (largest column norm seen so far) and Nielsen's damping
 * (K. Madsen, H. B. Nielsen, O. Tingleff, Methods for non-linear least squares problems, DTU 2004, section 3.2).
 * The damped normal equations are solved by Cholesky where their pivots show that this is safe, otherwise the
 * stacked system by QR. Long steps are bent along the cost's own curve, and taken back where they bend too much, by
 * the geodesic acceleration of M. K. Transtrum, J. P. Sethna, arXiv:1201.5885 (2012). The start must be a θ on which `evaluate` returns true; nothing is allocated while it runs, but for QR.
 */
export function levenbergMarquardt(
  problem: LeastSquaresProblem,
  start: ArrayLike<number>,
  options: LevenbergMarquardtOptions = {},
): LeastSquaresSolution {
  const { maxIterations = 200, costTolerance = 1e-14, damping = 1e-4 } = options
  const { parameters: m, residuals: n, prior } = problem

  const [normal, factor, gradient, scale, step, velocity, slopeGradient] = arraysOf([
    m * m,
    m * m,
    m,
    m,
    m,
    m,
    m,
  ])
  const work: Damped = { n, m, normal, factor, gradient, scale, step }
  let [theta, trial, r, rTrial, J, JTrial] = arraysOf([m, m, n, n, n * m, n * m])
  theta.set(start)

  const finish = (stopped: StopReason, iterations: number): LeastSquaresSolution => ({
    theta,
    cost,
    residuals: r,
    jacobian: J,
    iterations,
    converged: stopped === 'cost' || stopped === 'step' || stopped === 'zero-residual',
    stopped,
  })

  let cost = Number.POSITIVE_INFINITY
  if (!problem.evaluate(theta, r, J)) return finish('start', 0)
  cost = sumOfSquares(r) + priorCost(prior, theta)
  if (!Number.isFinite(cost)) return finish('start', 0)
  normalEquations(work, problem, J, r, theta)

  let lambda = damping
  let growth = 2
  const backOff = () => {
    lambda *= growth
    growth *= 2
    return lambda < 1e30
  }

  for (let iteration = 1; iteration <= maxIterations; iteration++) {
    if (cost === 0) return finish('zero-residual', iteration - 1)
    if (!dampedByCholesky(work, lambda)) dampedByQr(work, lambda, J, r, theta, prior)

    // What the local model promises: δᵀ(λD²δ − g), for the cost Σr² (not its half).
    let promised = 0
    let stepSize = 0
    let thetaSize = 0
    for (let j = 0; j < m; j++) {
      const d = step[j]!
      const s = scale[j]!
      promised += d * (lambda * s * s * d - gradient[j]!)
      stepSize += (s * d) ** 2
      thetaSize += (s * theta[j]!) ** 2
    }
    if (!(promised > costTolerance * cost)) return finish('cost', iteration)
    if (stepSize <= 1e-30 * thetaSize) return finish('step', iteration)

    velocity.set(step)
    if (
      stepSize > longStep * thetaSize &&
      !bent({ work, problem, lambda, theta, r, J, trial, rTrial, JTrial, velocity, kept: slopeGradient })
    ) {
      if (!backOff()) return finish('damping', iteration)
      continue
    }
    for (let j = 0; j < m; j++) trial[j] = theta[j]! + velocity[j]!
    const inside = problem.evaluate(trial, rTrial, JTrial)
    const trialCost = inside ? sumOfSquares(rTrial) + priorCost(prior, trial) : Number.POSITIVE_INFINITY
    const ratio = (cost - trialCost) / promised
    if (ratio > 0 && Number.isFinite(trialCost)) {
      ;[theta, trial] = [trial, theta]
      ;[r, rTrial] = [rTrial, r]
      ;[J, JTrial] = [JTrial, J]
      cost = trialCost
      normalEquations(work, problem, J, r, theta)
      lambda *= Math.max(1 / 10, 1 - pow(2 * ratio - 1, 3))
      growth = 2
    } else {
      // Where no step however short lowers the cost, rounding is all that is left of it, or the slope is wrong.
      if (!backOff()) return finish(promised <= 1e-9 * cost ? 'cost' : 'damping', iteration)
    }
  }
  return finish('iterations', maxIterations)
}

function sumOfSquares(values: Float64Array): number {
  let sum = 0
  for (let i = 0; i < values.length; i++) sum += values[i]! * values[i]!
  return sum
}

/** A step that changes the parameters by more than √ of this, in the scale of their curvature, is a long one. */
const longStep = 0.01

/** What a prior adds to the cost at θ. */
function priorCost(prior: LeastSquaresProblem['prior'], theta: Float64Array): number {
  if (prior === undefined) return 0
  const { strength, centre, form } = prior
  const m = theta.length
  let sum = 0
  for (let j = 0; j < m; j++) {
    const away = theta[j]! - centre[j]!
    sum += (strength[j]! * away) ** 2
    if (form === undefined) continue
    for (let k = 0; k < m; k++) sum += away * form[j * m + k]! * (theta[k]! - centre[k]!)
  }
  return sum
}
