import { Matrix, SVD } from 'ml-matrix'
import type { Vec3 } from '../linear/mat3.ts'
import { type Fit, type FitContext, problemOf } from './fitKind.ts'
import type { MatchModel } from './model.ts'
import type { Samples } from './samples.ts'

/** Standard errors in the shape of the parameters of the linear kinds. */
export interface StandardErrors {
  readonly lift: Vec3
  readonly gain: Vec3
  readonly matrix: readonly [Vec3, Vec3, Vec3]
}

export interface Covariance {
  readonly standardErrors: StandardErrors
  /** Degrees of freedom that the errors have left, for Student's t. */
  readonly freedom: number
}

/** No reading of a chart is better than this, in ΔE00: below it, residuals say nothing about the errors. */
const floorE00 = 0.05
/** The same in linear light, as a share of the patches' mean. */
const floorLight = 5e-4

/**
 * Standard errors of lift, gain and matrix of a linear kind, by the patches' own scatter. The patches need not be
 * equally noisy: a covariance of sandwich form, each patch's residuals divided by what its leverage hides of them
 * (J. G. MacKinnon, H. White, Some heteroskedasticity-consistent covariance matrix estimators, J. Econometrics 29
 * (1985), the jackknife form, by blocks of three residuals a patch). `undefined` where the curvature is singular.
 */
export function covarianceOf(fit: Fit, samples: Samples, context: FitContext): Covariance | undefined {
  const { design, theta } = fit
  const m = design.parameters
  const problem = problemOf(design, samples, context)
  const residuals = new Float64Array(problem.residuals)
  const jacobian = new Float64Array(problem.residuals * m)
  if (!problem.evaluate(theta, residuals, jacobian)) return undefined
  const J = Matrix.from1DArray(problem.residuals, m, jacobian)

  const scale = Array.from({ length: m }, (_, j) => J.getColumnVector(j).norm() || 1)
  for (let j = 0; j < m; j++) J.mulColumn(j, 1 / scale[j]!)
  const svd = new SVD(J)
  const smallest = Math.min(...svd.diagonal)
  if (!(smallest > 1e-9 * Math.max(...svd.diagonal))) return undefined
  const V = svd.rightSingularVectors
  const inverse = V.mmul(Matrix.diag(svd.diagonal.map((value) => 1 / value ** 2))).mmul(V.transpose())

  const mean = samples.target.reduce((sum, value) => sum + Math.abs(value), 0) / samples.target.length
  const floor = context.objective === 'linear' ? floorLight * mean : floorE00
  const meat = J.transpose()
    .mmul(J)
    .mul(floor ** 2 / 3)
  let taking = 0
  for (let p = 0; p < samples.count; p++) {
    if (!(samples.weight[p]! > 0)) continue
    taking++
    const block = J.subMatrix(3 * p, 3 * p + 2, 0, m - 1)
    const free = Matrix.eye(3).sub(block.mmul(inverse).mmul(block.transpose()))
    const r = Matrix.columnVector([...residuals.subarray(3 * p, 3 * p + 3)])
    const corrected = pseudoSolve(free, r)
    const score = block.transpose().mmul(corrected)
    meat.add(score.mmul(score.transpose()))
  }
  const covariance = inverse.mmul(meat).mmul(inverse)

  const slopes = parameterSlopes(fit, scale)
  if (slopes === undefined) return undefined
  const errors = slopes.map((slope) => {
    const s = Matrix.rowVector(slope)
    return Math.sqrt(Math.max(s.mmul(covariance).mmul(s.transpose()).get(0, 0), 0))
  })
  const three = (at: number): Vec3 => [errors[at]!, errors[at + 1]!, errors[at + 2]!]
  return {
    standardErrors: { lift: three(0), gain: three(3), matrix: [three(6), three(9), three(12)] },
    freedom: Math.max(taking - design.columns, 1),
  }
}

/** (I − P)⁻¹·r for one patch; a patch that is fitted whatever it says (leverage 1) has no residual to correct. */
function pseudoSolve(free: Matrix, r: Matrix): Matrix {
  const svd = new SVD(free)
  const U = svd.leftSingularVectors
  const V = svd.rightSingularVectors
  const projected = U.transpose().mmul(r)
  for (let i = 0; i < 3; i++) {
    const value = svd.diagonal[i]!
    projected.set(i, 0, value > 1e-6 ? projected.get(i, 0) / value : 0)
  }
  return V.mmul(projected)
}

/** The fifteen numbers of lift, gain and matrix, row by row. */
export function parameterList(model: MatchModel): number[] {
  return [...model.lift, ...model.gain, ...model.matrix.flat()]
}

/** ∂(lift, gain, matrix)/∂θ times the scale of θ, one row a number, by central differences (toModel is cheap and smooth). */
function parameterSlopes(fit: Fit, scale: readonly number[]): number[][] | undefined {
  const { design, theta } = fit
  const columns: number[][] = []
  for (let j = 0; j < theta.length; j++) {
    const step = 1e-6 * Math.max(Math.abs(theta[j]!), 1e-3 * Math.max(...theta.map(Math.abs)))
    const moved = (by: number) => {
      const copy = Float64Array.from(theta)
      copy[j]! += by
      const model = design.toModel(copy)
      return model === undefined ? undefined : parameterList(model)
    }
    const up = moved(step)
    const down = moved(-step)
    if (up === undefined || down === undefined) return undefined
    columns.push(up.map((value, i) => (value - down[i]!) / (2 * step) / scale[j]!))
  }
  return columns[0]!.map((_, i) => columns.map((column) => column[i]!))
}
