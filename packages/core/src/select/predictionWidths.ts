import { perceptualResiduals } from '../fit/perceptualResiduals.ts'
import type { Design } from '../model/design.ts'
import type { MatchProblem } from '../problem/matchProblem.ts'
import { inverse, Matrix } from '../solver/matrices.ts'
import { ridge } from '../solver/tolerances.ts'

/**
 * By patch: the standard deviation of its residual under a fit that hardly counts it, over that of its own scatter. The
 * black, alone at its end of the scale, is predicted from far away and may be further off than others.
 *
 * @param counted with the weights of the fit.
 */
export function predictionWidths(design: Design, counted: MatchProblem, theta: Float64Array): Float64Array {
  const { count } = counted.samples
  const m = design.parameters
  const slopes = (of: MatchProblem) => {
    const residuals = new Float64Array(3 * count)
    const jacobian = new Float64Array(3 * count * m)
    perceptualResiduals(of, design).evaluate(theta, residuals, jacobian)
    return { residuals, J: Matrix.from1DArray(3 * count, m, jacobian) }
  }
  const { J } = slopes(counted)
  const scale = Array.from({ length: m }, (_, j) => J.getColumnVector(j).norm() || 1)
  for (let j = 0; j < m; j++) J.mulColumn(j, 1 / scale[j]!)
  const curvature = J.transpose().mmul(J)
  for (let j = 0; j < m; j++) curvature.set(j, j, curvature.get(j, j) + ridge)
  const covariance = inverse(curvature)
  const own = slopes(counted.evenly())
  for (let j = 0; j < m; j++) own.J.mulColumn(j, 1 / scale[j]!)
  return Float64Array.from({ length: count }, (_, p) => {
    const r = Matrix.rowVector([...own.residuals.subarray(3 * p, 3 * p + 3)])
    const along = r.mmul(own.J.subMatrix(3 * p, 3 * p + 2, 0, m - 1))
    const square = r.norm() ** 2
    return square > 0 ? Math.sqrt(1 + along.mmul(covariance).mmul(along.transpose()).get(0, 0) / square) : 1
  })
}
