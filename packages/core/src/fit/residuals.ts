import type { LeastSquaresProblem } from '../solver/leastSquaresProblem.ts'

/**
 * The residuals of a match, three per patch, with what derivatives are asked for: by θ (residuals × parameters, row-major),
 * and by the light of source and target (nine numbers per patch, residual by channel; a patch's residuals depend on its
 * own light alone). This is the one place where a match is differentiated.
 */
export interface Residuals extends LeastSquaresProblem {
  evaluate(
    theta: Float64Array,
    residuals: Float64Array,
    jacobian?: Float64Array,
    bySource?: Float64Array,
    byTarget?: Float64Array,
  ): boolean
}
