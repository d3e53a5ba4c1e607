import type { Design } from '../model/design.ts'
import type { MatchProblem } from '../problem/matchProblem.ts'
import type { LeastSquaresProblem } from '../solver/leastSquaresProblem.ts'
import { linearResiduals } from './linearResiduals.ts'
import { perceptualResiduals } from './perceptualResiduals.ts'
import type { Residuals } from './residuals.ts'

/** The residuals of a problem under a design, by the problem's objective. A prior is for ΔE00 alone. */
export function residualsOf(
  problem: MatchProblem,
  design: Design,
  prior?: LeastSquaresProblem['prior'],
): Residuals {
  return problem.objective === 'linear'
    ? linearResiduals(problem, design)
    : perceptualResiduals(problem, design, prior)
}
