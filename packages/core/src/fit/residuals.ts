import type { LeastSquaresProblem } from '../solver/leastSquaresProblem.ts'

/** The residuals of a match, three a patch, which can be had without their derivatives. */
export interface Residuals extends LeastSquaresProblem {
  evaluate(theta: Float64Array, residuals: Float64Array, jacobian?: Float64Array): boolean
}
