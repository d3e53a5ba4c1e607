import type { LeastSquaresProblem } from '../solver/leastSquaresProblem.ts'
import { type LevenbergMarquardtOptions, levenbergMarquardt } from '../solver/levenbergMarquardt.ts'

/** θ of a fit without patch `p`, three residuals per patch; `undefined` where θ of all has no meaning. */
export type RefitWithout = (p: number) => Float64Array | undefined

/**
 * Refits without one patch, from the fit to all. They all start at the same θ: what it gives is worked out once.
 */
export function refitsWithoutPatch(
  all: LeastSquaresProblem,
  fitted: Float64Array,
  options: LevenbergMarquardtOptions,
): RefitWithout {
  const { parameters: m, residuals: n } = all
  const start = { residuals: new Float64Array(n), jacobian: new Float64Array(n * m) }
  if (!all.evaluate(fitted, start.residuals, start.jacobian)) return () => undefined
  return (p) => {
    let first = true
    const without: LeastSquaresProblem = {
      ...all,
      evaluate(theta, residuals, jacobian) {
        if (first) {
          residuals.set(start.residuals)
          jacobian.set(start.jacobian)
          first = false
        } else if (!all.evaluate(theta, residuals, jacobian)) return false
        residuals.fill(0, 3 * p, 3 * (p + 1))
        jacobian.fill(0, 3 * p * m, 3 * (p + 1) * m)
        return true
      },
    }
    return levenbergMarquardt(without, fitted, options).theta
  }
}
