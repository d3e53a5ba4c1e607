import type { LeastSquaresProblem } from '../solver/leastSquaresProblem.ts'

/** The problem of a fit: three residuals per patch, which can be had without their derivatives. */
export interface MatchProblem extends LeastSquaresProblem {
  evaluate(theta: Float64Array, residuals: Float64Array, jacobian?: Float64Array): boolean
}
