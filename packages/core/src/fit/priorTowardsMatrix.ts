import type { Design } from '../model/design.ts'
import type { MatchModel } from '../model/model.ts'
import { rootPolynomialAtWhite, rootPolynomialTerms } from '../model/rootPolynomial.ts'
import type { LeastSquaresProblem } from '../solver/leastSquaresProblem.ts'
import { scatterOf } from '../solver/scatterOf.ts'

/**
 * The terms beyond the matrix, relative to the gain, are of this size. Measured: fitted freely between the sensors of
 * Jiang et al. 2013, and from them to the 2° observer, in seven lights, their root mean square is 0.35.
 */
const usualRootTerm = 0.5
/** Scatter of a residual in ΔE00 below which a chart does not speak of it. */
const leastScatter = 0.05

/** Scatter of the residuals of an affine fit, in ΔE00, as far as root terms are weighed against it. */
export const scatterOfAffine = ({ cost }: Affine, activeCount: number): number =>
  Math.max(scatterOf(cost, 3 * activeCount, 12), leastScatter)

/** A fit of `lift-gain-matrix`, and how far it leaves the patches off. */
export interface Affine {
  readonly theta: Float64Array
  readonly model: MatchModel
  readonly cost: number
}

/**
 * The prior of a root-polynomial fit towards lift, gain and matrix alone, as Bayes would have it: each term beyond the
 * matrix by the ratio of the residuals' scatter to how large such terms usually are. The matrix and the lift are free.
 *
 * @param affine the fit of `lift-gain-matrix` to the same samples: it is the start, and its residuals the scatter.
 * @param activeCount patches that take part.
 * @param strengthPerTerm in place of that ratio.
 */
export function priorTowardsMatrix(
  design: Design,
  affine: Affine,
  activeCount: number,
  strengthPerTerm?: number,
): { start: Float64Array; prior: NonNullable<LeastSquaresProblem['prior']> } {
  const { columns, parameters } = design
  const terms = rootPolynomialTerms(design.kind)
  const start = new Float64Array(parameters)
  for (let c = 0; c < 3; c++) {
    for (let k = 0; k < 3; k++) start[c * columns + k] = affine.theta[4 * c + k]!
    start[3 * columns + c] = affine.model.lift[c]!
  }
  const scatter = scatterOfAffine(affine, activeCount)
  const atWhite = rootPolynomialAtWhite(terms, affine.model.gain)
  const strength = new Float64Array(parameters)
  for (let c = 0; c < 3; c++) {
    for (const [i, value] of atWhite.entries())
      strength[c * columns + 3 + i] = (strengthPerTerm ?? scatter / usualRootTerm) * value
  }
  return { start, prior: { strength, centre: new Float64Array(parameters) } }
}
