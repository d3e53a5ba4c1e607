/** Scatter of a residual that a fit leaves: root mean square over the degrees of freedom. @param cost Σ r² */
export const scatterOf = (cost: number, residuals: number, parameters: number): number =>
  Math.sqrt(cost / Math.max(residuals - parameters, 1))
