import type { LeastSquaresProblem } from '../solver/leastSquaresProblem.ts'

/**
 * A least-squares problem whose derivatives are taken by differences, for residuals that are cheap and smooth.
 *
 * @param write writes the residuals at θ; false where θ has no meaning. @param steps one a parameter.
 */
export function differenced(
  residuals: number,
  steps: ArrayLike<number>,
  write: (theta: Float64Array, out: Float64Array) => boolean,
  prior?: LeastSquaresProblem['prior'],
): LeastSquaresProblem {
  const parameters = steps.length
  const moved = new Float64Array(parameters)
  const ahead = new Float64Array(residuals)
  return {
    parameters,
    residuals,
    ...(prior === undefined ? {} : { prior }),
    evaluate(theta, out, jacobian) {
      if (!write(theta, out)) return false
      moved.set(theta)
      for (let j = 0; j < parameters; j++) {
        moved[j] = theta[j]! + steps[j]!
        if (!write(moved, ahead)) return false
        moved[j] = theta[j]!
        for (let i = 0; i < residuals; i++) {
          jacobian[i * parameters + j] = (ahead[i]! - out[i]!) / steps[j]!
        }
      }
      return true
    },
  }
}
