import type { Design } from '../model/design.ts'
import type { MatchProblem } from '../problem/matchProblem.ts'
import { chainSlopes } from './chainSlopes.ts'
import type { Residuals } from './residuals.ts'

/** Three residuals per patch in linear light: the output less the target, times the root of the weight. */
export function linearResiduals({ samples }: MatchProblem, design: Design): Residuals {
  const { count, target, weight } = samples
  const light = new Float64Array(3)
  const slope = new Float64Array(9)
  const input = new Float64Array(9)
  return {
    parameters: design.parameters,
    residuals: 3 * count,
    evaluate(theta, residuals, jacobian, bySource, byTarget) {
      if (!design.prepare(theta)) return false
      for (let p = 0; p < count; p++) {
        const root = Math.sqrt(weight[p]!)
        design.output(theta, p, light)
        for (let c = 0; c < 3; c++) residuals[3 * p + c] = root * (light[c]! - target[3 * p + c]!)
        slope[0] = root
        slope[4] = root
        slope[8] = root
        if (jacobian !== undefined) design.chain(theta, p, slope, jacobian, 3 * p * design.parameters)
        if (bySource !== undefined) {
          design.inputSlope(theta, p, input)
          chainSlopes(slope, input, bySource, 9 * p)
        }
        if (byTarget !== undefined) for (let i = 0; i < 9; i++) byTarget[9 * p + i] = -slope[i]!
      }
      return true
    },
  }
}
