import type { LeastSquaresProblem } from '../../solver/leastSquaresProblem.ts'
import type { Curve } from '../chain/chain.ts'
import type { Sight } from '../sight.ts'
import { curveSlope } from './curveSlope.ts'

/** Nine terms of a matrix K, row by row, and three of a pedestal p. */
export const oneShotParameters = 12
const parameters = oneShotParameters

/**
 * ΣΔE00² of K · decode(V − p) against the target.
 *
 * @param signal three code values V a patch; NaN for a patch that cannot be used. @param strength of the prior to 0, one
 * for each parameter.
 */
export function oneShotProblem(
  curve: Curve,
  signal: Float64Array,
  sight: Sight,
  strength: Float64Array,
): LeastSquaresProblem {
  const light = new Float64Array(3)
  const turned = new Float64Array(3)
  const slope = new Float64Array(9)
  return {
    parameters,
    residuals: signal.length,
    prior: { strength, centre: new Float64Array(parameters) },
    evaluate(theta, residuals, jacobian) {
      for (let p = 0; p < signal.length; p += 3) {
        const unread =
          Number.isNaN(signal[p]!) || Number.isNaN(signal[p + 1]!) || Number.isNaN(signal[p + 2]!)
        if (unread) {
          // A patch that this shot does not have says nothing.
          residuals.fill(0, p, p + 3)
          jacobian.fill(0, p * parameters, (p + 3) * parameters)
          continue
        }
        for (let c = 0; c < 3; c++) light[c] = curve.decode(signal[p + c]! - theta[9 + c]!, c as 0)
        for (let c = 0; c < 3; c++)
          turned[c] =
            theta[3 * c]! * light[0]! + theta[3 * c + 1]! * light[1]! + theta[3 * c + 2]! * light[2]!
        sight.ofLight(p / 3, turned, residuals, p, slope)
        for (let k = 0; k < 3; k++) {
          const row = (p + k) * parameters
          for (let c = 0; c < 3; c++) {
            for (let j = 0; j < 3; j++) jacobian[row + 3 * c + j] = slope[3 * k + c]! * light[j]!
          }
          for (let j = 0; j < 3; j++) {
            const seen =
              slope[3 * k]! * theta[j]! +
              slope[3 * k + 1]! * theta[3 + j]! +
              slope[3 * k + 2]! * theta[6 + j]!
            jacobian[row + 9 + j] = -seen * curveSlope(curve, signal[p + j]! - theta[9 + j]!, j as 0)
          }
        }
      }
      return true
    },
  }
}
