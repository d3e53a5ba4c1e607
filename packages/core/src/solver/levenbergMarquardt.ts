import { pow } from '../elementary/pow.ts'
import { arraysOf } from './arraysOf.ts'
import { type Damped, dampedByCholesky, dampedByQr } from './damped.ts'
import type { LeastSquaresProblem } from './leastSquaresProblem.ts'

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

  const priorCost = (at: Float64Array) => {
    if (prior === undefined) return 0
    const { strength, centre, form } = prior
    let sum = 0
    for (let j = 0; j < m; j++) {
      const away = at[j]! - centre[j]!
      sum += (strength[j]! * away) ** 2
      if (form === undefined) continue
      for (let k = 0; k < m; k++) sum += away * form[j * m + k]! * (at[k]! - centre[k]!)
    }
    return sum
  }
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
  cost = sumOfSquares(r) + priorCost(theta)
  if (!Number.isFinite(cost)) return finish('start', 0)
  normalEquations(work, problem, J, r, theta)

  let lambda = damping
  let growth = 2
  const backOff = () => {
    lambda *= growth
    growth *= 2
    return lambda < 1e30
  }

  /**
   * Bend the step along the curve: `velocity` = δ + a/2, where a answers the second derivative of the residuals
   * along δ. False where the bend is not small beside the step, or the way there leaves the domain.
   */
  const accelerate = (): boolean => {
    const h = 0.1
    for (let j = 0; j < m; j++) trial[j] = theta[j]! + h * velocity[j]!
    if (!problem.evaluate(trial, rTrial, JTrial)) return false
    for (let i = 0; i < n; i++) {
      let slope = 0
      for (let j = 0; j < m; j++) slope += J[i * m + j]! * velocity[j]!
      rTrial[i] = (2 / h) * ((rTrial[i]! - r[i]!) / h - slope)
    }
    slopeGradient.set(gradient)
    gradient.fill(0)
    for (let i = 0; i < n; i++) {
      for (let j = 0; j < m; j++) gradient[j]! += J[i * m + j]! * rTrial[i]!
    }
    if (!dampedByCholesky(work, lambda)) dampedByQr(work, lambda, J, rTrial, theta, undefined)
    gradient.set(slopeGradient)
    let bend = 0
    let length = 0
    for (let j = 0; j < m; j++) {
      bend += (scale[j]! * step[j]!) ** 2
      length += (scale[j]! * velocity[j]!) ** 2
      velocity[j]! += step[j]! / 2
    }
    return 2 * Math.sqrt(bend) <= 0.75 * Math.sqrt(length)
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
    if (stepSize > longStep * thetaSize && !accelerate()) {
      if (!backOff()) return finish('damping', iteration)
      continue
    }
    for (let j = 0; j < m; j++) trial[j] = theta[j]! + velocity[j]!
    const inside = problem.evaluate(trial, rTrial, JTrial)
    const trialCost = inside ? sumOfSquares(rTrial) + priorCost(trial) : Number.POSITIVE_INFINITY
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

/** JᵀJ (upper half), Jᵀr, and the scale of each parameter. */
function normalEquations(
  work: Damped,
  problem: LeastSquaresProblem,
  J: Float64Array,
  r: Float64Array,
  theta: Float64Array,
): void {
  const { m, normal, gradient, scale } = work
  const { prior } = problem
  normal.fill(0)
  gradient.fill(0)
  if (problem.products === undefined) addRows(work, J, r)
  else problem.products(r, J, normal, gradient)
  for (let j = 0; j < m; j++) {
    if (prior !== undefined) {
      const s2 = prior.strength[j]! * prior.strength[j]!
      normal[j * m + j]! += s2
      gradient[j]! += s2 * (theta[j]! - prior.centre[j]!)
      const { form } = prior
      if (form !== undefined) {
        for (let k = j; k < m; k++) normal[j * m + k]! += form[j * m + k]!
        for (let k = 0; k < m; k++) gradient[j]! += form[j * m + k]! * (theta[k]! - prior.centre[k]!)
      }
    }
    const size = Math.sqrt(normal[j * m + j]!)
    // A parameter that moves nothing yet still needs a scale; 1 lets the damping hold it in place.
    scale[j] = Math.max(scale[j]!, size) || 1
  }
}

function addRows({ n, m, normal, gradient }: Damped, J: Float64Array, r: Float64Array): void {
  // Three rows at a time, in pairs: fewer loads and stores of the sums, which is where the time goes.
  let i = 0
  for (; i + 5 < n; i += 6) {
    const one = i * m
    const two = one + m
    const three = two + m
    const four = three + m
    const five = four + m
    const six = five + m
    const r1 = r[i]!
    const r2 = r[i + 1]!
    const r3 = r[i + 2]!
    const r4 = r[i + 3]!
    const r5 = r[i + 4]!
    const r6 = r[i + 5]!
    for (let j = 0; j < m; j++) {
      const a = J[one + j]!
      const b = J[two + j]!
      const c = J[three + j]!
      const d = J[four + j]!
      const e = J[five + j]!
      const f = J[six + j]!
      // What these rows do not depend on adds nothing: of many numbers, as of a line-up with many rounds, most.
      if (a === 0 && b === 0 && c === 0 && d === 0 && e === 0 && f === 0) continue
      gradient[j] = gradient[j]! + (a * r1 + b * r2 + c * r3) + (d * r4 + e * r5 + f * r6)
      const out = j * m
      for (let k = j; k < m; k++) {
        normal[out + k] =
          normal[out + k]! +
          (a * J[one + k]! + b * J[two + k]! + c * J[three + k]!) +
          (d * J[four + k]! + e * J[five + k]! + f * J[six + k]!)
      }
    }
  }
  for (; i + 2 < n; i += 3) {
    const one = i * m
    const two = one + m
    const three = two + m
    const r1 = r[i]!
    const r2 = r[i + 1]!
    const r3 = r[i + 2]!
    for (let j = 0; j < m; j++) {
      const a = J[one + j]!
      const b = J[two + j]!
      const c = J[three + j]!
      gradient[j]! += a * r1 + b * r2 + c * r3
      const out = j * m
      for (let k = j; k < m; k++) normal[out + k]! += a * J[one + k]! + b * J[two + k]! + c * J[three + k]!
    }
  }
  for (; i < n; i++) {
    const row = i * m
    for (let j = 0; j < m; j++) {
      const a = J[row + j]!
      gradient[j]! += a * r[i]!
      for (let k = j; k < m; k++) normal[j * m + k]! += a * J[row + k]!
    }
  }
}
