/**
 * A nonlinear least-squares problem: least Σ r². `evaluate` writes the residuals and, row by row, their derivatives:
 * `jacobian[i * parameters + j]` = ∂r_i/∂θ_j. It returns false where θ has no meaning (the step is then taken back);
 * it must not keep or change `theta`.
 */
export interface LeastSquaresProblem {
  readonly parameters: number
  readonly residuals: number
  evaluate(theta: Float64Array, residuals: Float64Array, jacobian: Float64Array): boolean
  /**
   * Adds JᵀJ (upper half) and Jᵀr, from what `evaluate` wrote: for a problem whose Jacobian has a form that makes this
   * cheaper than the sums over its rows.
   */
  products?(
    residuals: Float64Array,
    jacobian: Float64Array,
    normal: Float64Array,
    gradient: Float64Array,
  ): void
  readonly prior?: Prior
}

/**
 * A prior towards `centre`: adds Σ (strength_j · (θ_j − centre_j))² to the cost, and (θ − centre)ᵀ·form·(θ − centre) where
 * the prior ties parameters together; `form` is symmetric, positive, row-major.
 */
interface Prior {
  readonly strength: Float64Array
  readonly centre: Float64Array
  readonly form?: Float64Array
}
