import { EigenvalueDecomposition, Matrix, SVD } from 'ml-matrix'
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
  /** Degrees of freedom of each standard error, in the order of `parameterList`, for Student's t; worked out when asked for. */
  freedom(): readonly number[]
}

/** Rounding of readings as they are written: residuals below this, in ΔE00, say nothing about the errors. */
const roundingFloor = 0.01
/** One ΔE00 as a share of the patches' mean light, near enough for floors of the linear objective. */
const lightPerE00 = 0.01

/**
 * Standard errors of lift, gain and matrix of a linear kind, by the patches' own scatter. The patches need not be
 * equally noisy: a covariance of sandwich form, each patch's three residuals freed of what its leverage hides of them,
 * with the degrees of freedom that go with it (R. M. Bell, D. F. McCaffrey, Bias reduction in standard errors for
 * linear regression with multi-stage samples, Survey Methodology 28 (2002); a patch is a cluster). `undefined` where
 * the curvature is singular.
 *
 * @param floorE00 scatter that every patch is taken to have at least, in ΔE00.
 */
export function covarianceOf(
  fit: Fit,
  samples: Samples,
  context: FitContext,
  floorE00 = roundingFloor,
): Covariance | undefined {
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
  const floor = context.objective === 'linear' ? floorE00 * lightPerE00 * mean : floorE00
  const meat = J.transpose()
    .mmul(J)
    .mul(floor ** 2 / 3)
  const influences: Influence[] = []
  for (let p = 0; p < samples.count; p++) {
    if (!(samples.weight[p]! > 0)) continue
    const block = J.subMatrix(3 * p, 3 * p + 2, 0, m - 1)
    const root = inverseRoot(Matrix.eye(3).sub(block.mmul(inverse).mmul(block.transpose())))
    // Three residuals → the parameters' (scaled) error that they stand for, freed of leverage.
    const rows = inverse.mmul(block.transpose()).mmul(root)
    const r = Matrix.columnVector([...residuals.subarray(3 * p, 3 * p + 3)])
    const score = block.transpose().mmul(root).mmul(r)
    meat.add(score.mmul(score.transpose()))
    influences.push({ block, rows })
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
    freedom: () => slopes.map((slope) => freedomOf(Matrix.rowVector(slope), influences, inverse)),
  }
}

/** Of one patch: its rows of the Jacobian, and the (scaled) error of the parameters that its residuals stand for. */
interface Influence {
  readonly block: Matrix
  readonly rows: Matrix
}

/**
 * Bell and McCaffrey's degrees of freedom of one parameter's standard error: (Σλ)² / Σλ², λ the eigenvalues of
 * GᵀG, whose columns are what each patch's residuals put into the estimate, projected off the fit.
 */
function freedomOf(slope: Matrix, influences: readonly Influence[], inverse: Matrix): number {
  // Column p of G is (I − H)·e_p with e_p the influence in the rows of patch p. So GᵀG = diag(e·e) − (Jᵀe)ᵀ inverse (Jᵀe).
  const parts = influences.map(({ block, rows }) => {
    const e = slope.mmul(rows)
    return { square: e.norm() ** 2, through: e.mmul(block) }
  })
  const T = new Matrix(parts.map((part) => part.through.to1DArray()))
  const gram = T.mmul(inverse).mmul(T.transpose()).mul(-1)
  for (const [i, part] of parts.entries()) gram.set(i, i, gram.get(i, i) + part.square)
  const trace = gram.trace()
  const squares = gram.norm('frobenius') ** 2
  return squares > 0 ? Math.max((trace * trace) / squares, 1) : 1
}

/** (I − P)^(−1/2) for one patch; where a patch is fitted whatever it says (leverage 1) it has nothing to free. */
function inverseRoot(free: Matrix): Matrix {
  const { eigenvectorMatrix: V, realEigenvalues } = new EigenvalueDecomposition(free, {
    assumeSymmetric: true,
  })
  return V.mmul(Matrix.diag(realEigenvalues.map((value) => (value > 1e-6 ? 1 / Math.sqrt(value) : 0)))).mmul(
    V.transpose(),
  )
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
