import type { Fit } from '../fit/fitKind.ts'
import { residualsOf } from '../fit/residualsOf.ts'
import { inverseRoot3 } from '../linear/inverseRoot3.ts'
import type { Vec3 } from '../linear/mat3.ts'
import type { MatchModel } from '../model/model.ts'
import type { MatchProblem } from '../problem/matchProblem.ts'
import type { Samples } from '../samples/samples.ts'
import { arraysOf } from '../solver/arraysOf.ts'
import { divideByTriangle } from '../solver/divideByTriangle.ts'
import { Matrix, SVD } from '../solver/matrices.ts'
import { scaleColumns } from '../solver/scaleColumns.ts'
import { openBelow } from '../solver/tolerances.ts'
import { triangularise } from '../solver/triangularise.ts'

/** Standard errors in the shape of the parameters of the linear kinds. */
export interface StandardErrors {
  readonly lift: Vec3
  readonly gain: Vec3
  readonly matrix: readonly [Vec3, Vec3, Vec3]
}

export interface Covariance {
  /** @param floorE00 scatter that every patch is taken to have at least, in ΔE00; default the rounding of readings. */
  standardErrors(floorE00?: number): StandardErrors
  /** Degrees of freedom of each standard error, in the order of `parameterList`, for Student's t. */
  freedom(): readonly number[]
}

/** Rounding of readings as they are written: residuals below this, in ΔE00, say nothing about the errors. */
const roundingFloor = 0.01
/** One ΔE00 as a share of the patches' mean light, near enough for floors of the linear objective. */
const lightPerE00 = 0.01
/** A patch with a leverage nearer to 1 than this is fitted whatever it says: it has nothing to free. */
const leastFree = 1e-6
/** Lift, gain and matrix. */
const numbers = 15

/**
 * Covariance of lift, gain and matrix of a linear kind, by the patches' own scatter. The patches need not be
 * equally noisy: a covariance of sandwich form, each patch's three residuals freed of what its leverage hides of them,
 * with the degrees of freedom that go with it (R. M. Bell, D. F. McCaffrey, Bias reduction in standard errors for
 * linear regression with multi-stage samples, Survey Methodology 28 (2002); a patch is a cluster). `undefined` where
 * the curvature is singular.
 *
 * With J = Q·R a number whose slopes by θ are s has the row t = s·R⁻¹, and a patch with its rows of Q and its residuals
 * r puts e·r into the number's error, e = t·Qᵀ·(I − QQᵀ)^(−1/2): the variance is the sum of their squares.
 */
export function covarianceOf(fit: Fit, problem: MatchProblem): Covariance | undefined {
  const { samples } = problem
  const { design, theta } = fit
  const m = design.parameters
  const of = residualsOf(problem, design)
  const rows = of.residuals
  const residuals = new Float64Array(rows)
  const Q = new Float64Array(rows * m)
  if (!of.evaluate(theta, residuals, Q)) return undefined
  const scale = scaleColumns(Q, rows, m)
  const R = Q.slice()
  triangularise(R, rows, m, m)
  if (isSingular(R, m)) return undefined
  divideByTriangle(R, Q, rows, m)

  const t = design.modelSlopes(theta)
  if (t === undefined) return undefined
  for (let i = 0; i < numbers * m; i++) t[i]! /= scale[i % m]!
  divideByTriangle(R, t, numbers, m)

  const e = influences(Q, t, samples, m)
  const mean = samples.target.reduce((sum, value) => sum + Math.abs(value), 0) / samples.target.length
  return {
    standardErrors(floorE00 = roundingFloor) {
      const floor = problem.objective === 'linear' ? floorE00 * lightPerE00 * mean : floorE00
      const error = (i: number) =>
        errorOf(t.subarray(i * m, (i + 1) * m), e.subarray(i * rows, (i + 1) * rows), residuals, floor)
      const three = (at: number): Vec3 => [error(at), error(at + 1), error(at + 2)]
      return { lift: three(0), gain: three(3), matrix: [three(6), three(9), three(12)] }
    },
    freedom: () =>
      Array.from({ length: numbers }, (_, i) => freedomOf(e.subarray(i * rows, (i + 1) * rows), Q, m)),
  }
}

/** Is the condition of R, upper triangular, 1 / `openBelow` or more? */
function isSingular(R: Float64Array, m: number): boolean {
  const inverse = new Float64Array(m * m)
  for (let j = 0; j < m; j++) inverse[j * m + j] = 1
  divideByTriangle(R, inverse, m, m)
  let size = 0
  let inverseSize = 0
  for (let j = 0; j < m; j++) {
    for (let k = j; k < m; k++) {
      size += R[j * m + k]! ** 2
      inverseSize += inverse[j * m + k]! ** 2
    }
  }
  // The Frobenius norms bound the condition from above, and hardly a fit needs to have it worked out.
  if (Math.sqrt(size * inverseSize) < 1 / openBelow) return false
  const upper = new Matrix(m, m)
  for (let j = 0; j < m; j++) for (let k = j; k < m; k++) upper.set(j, k, R[j * m + k]!)
  const values = new SVD(upper, { computeLeftSingularVectors: false, computeRightSingularVectors: false })
    .diagonal
  return !(Math.min(...values) > openBelow * Math.max(...values))
}

/** By number (15 rows) and patch (three columns each): the error of the number that the patch's residuals stand for, freed of leverage. */
function influences(Q: Float64Array, t: Float64Array, samples: Samples, m: number): Float64Array {
  const { count, weight } = samples
  const e = new Float64Array(numbers * 3 * count)
  const [free, root, vectors] = arraysOf([9, 9, 9])
  for (let p = 0; p < count; p++) {
    if (!(weight[p]! > 0)) continue
    const block = Q.subarray(3 * p * m, 3 * (p + 1) * m)
    for (let i = 0; i < 3; i++) {
      for (let k = 0; k < 3; k++) free[3 * i + k] = (i === k ? 1 : 0) - dot(block, i * m, block, k * m, m)
    }
    inverseRoot3(free, leastFree, root, vectors)
    for (let i = 0; i < numbers; i++) {
      const r = dot(t, i * m, block, 0, m)
      const g = dot(t, i * m, block, m, m)
      const b = dot(t, i * m, block, 2 * m, m)
      const to = (i * count + p) * 3
      for (let k = 0; k < 3; k++) e[to + k] = root[3 * k]! * r + root[3 * k + 1]! * g + root[3 * k + 2]! * b
    }
  }
  return e
}

function dot(a: Float64Array, at: number, b: Float64Array, from: number, length: number): number {
  let sum = 0
  for (let i = 0; i < length; i++) sum += a[at + i]! * b[from + i]!
  return sum
}

/** Standard error of one number, `t` its row of s·R⁻¹ and `e` what the patches put into it. */
function errorOf(t: Float64Array, e: Float64Array, residuals: Float64Array, floor: number): number {
  let variance = (floor ** 2 / 3) * dot(t, 0, t, 0, t.length)
  for (let i = 0; i < e.length; i += 3) variance += dot(e, i, residuals, i, 3) ** 2
  return Math.sqrt(variance)
}

/**
 * Bell and McCaffrey's degrees of freedom of one number's standard error: (Σλ)² / Σλ², λ the eigenvalues of
 * GᵀG, whose columns are what each patch's residuals put into the estimate, projected off the fit.
 */
function freedomOf(e: Float64Array, Q: Float64Array, m: number): number {
  // Column p of G is (I − QQᵀ)·e in the rows of patch p. So GᵀG = diag(e·e) − (Qᵀe)ᵀ(Qᵀe).
  const count = e.length / 3
  const through = new Float64Array(count * m)
  for (let p = 0; p < count; p++) {
    for (let i = 3 * p; i < 3 * p + 3; i++) {
      for (let j = 0; j < m; j++) through[p * m + j]! += e[i]! * Q[i * m + j]!
    }
  }
  let trace = 0
  let squares = 0
  for (let p = 0; p < count; p++) {
    const own = dot(e, 3 * p, e, 3 * p, 3) - dot(through, p * m, through, p * m, m)
    trace += own
    squares += own * own
    for (let q = 0; q < p; q++) squares += 2 * dot(through, p * m, through, q * m, m) ** 2
  }
  return squares > 0 ? Math.max((trace * trace) / squares, 1) : 1
}

/** The fifteen numbers of lift, gain and matrix, row by row. */
export function parameterList(model: MatchModel): number[] {
  return [...model.lift, ...model.gain, ...model.matrix.flat()]
}
