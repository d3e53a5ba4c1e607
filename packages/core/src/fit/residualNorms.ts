import { hypot } from '../elementary/hypot.ts'
import type { Residuals } from './residuals.ts'

/** The norm of each patch's three residuals at θ, unweighted: ΔE00 for the perceptual objective. */
export function residualNorms(of: Residuals, weight: Float64Array, theta: Float64Array): Float64Array {
  const residuals = new Float64Array(of.residuals)
  of.evaluate(theta, residuals)
  return weight.map((w, p) =>
    w > 0 ? hypot(residuals[3 * p]!, residuals[3 * p + 1]!, residuals[3 * p + 2]!) / Math.sqrt(w) : 0,
  )
}
