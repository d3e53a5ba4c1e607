import type { Design } from '../model/design.ts'
import type { MatchProblem } from '../problem/matchProblem.ts'
import { residualsOf } from './residualsOf.ts'

/** The residuals of a match at θ, three per patch, and how they move. */
export interface ResidualSlopes {
  readonly residuals: Float64Array
  /** By θ: residuals × parameters, row-major. */
  readonly byTheta: Float64Array
  /** By the light of source and target: nine numbers per patch, residual by channel, row-major. */
  readonly bySource: Float64Array
  readonly byTarget: Float64Array
}

/** By the problem's objective and weights; of `problem.evenly().perceptual()` they are ΔE00. */
export function residualSlopes(problem: MatchProblem, design: Design, theta: Float64Array): ResidualSlopes {
  const { count } = problem.samples
  const slopes = {
    residuals: new Float64Array(3 * count),
    byTheta: new Float64Array(3 * count * design.parameters),
    bySource: new Float64Array(9 * count),
    byTarget: new Float64Array(9 * count),
  }
  residualsOf(problem, design).evaluate(
    theta,
    slopes.residuals,
    slopes.byTheta,
    slopes.bySource,
    slopes.byTarget,
  )
  return slopes
}
