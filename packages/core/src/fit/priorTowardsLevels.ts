import type { MatchProblem } from '../problem/matchProblem.ts'
import type { LeastSquaresProblem } from '../solver/leastSquaresProblem.ts'
import { scatterOf } from '../solver/scatterOf.ts'
import { linearFit } from './linearFit.ts'

/** How far a matrix term is from the declared conversion, typically, and an offset from zero: common practice, no source. */
const usualTerm = 0.3
const usualOffset = 0.02
/** Scatter of a residual in ΔE00 below which so few patches do not speak of it. */
const leastScatter = 0.3

/**
 * The prior of an affine fit towards lift and gain with the declared conversion, as Bayes would have it: each parameter
 * by the ratio of the residuals' scatter to how far such parameters usually lie from there. Beside the curvature of two
 * dozen patches it is nothing, so it is used only where patches are few or nearly dependent.
 *
 * @param columns of the design: 3, or 4 with lift. @param cost Σ weight · residual² of the fit without it.
 */
export function priorTowardsLevels(
  problem: MatchProblem,
  columns: number,
  cost: number,
): NonNullable<LeastSquaresProblem['prior']> {
  const withLift = columns === 4
  const { declared, samples, active } = problem
  const levels = linearFit(problem.design(withLift ? 'lift-gain' : 'gain'), samples).theta
  const strength = new Float64Array(3 * columns)
  const centre = new Float64Array(3 * columns)
  const scatter = Math.max(scatterOf(cost, 3 * active.length, 3 * columns), leastScatter)
  for (let c = 0; c < 3; c++) {
    for (let k = 0; k < 3; k++) {
      const gain = Math.max(Math.abs(levels[k]!), 1e-12)
      centre[c * columns + k] = declared[c]![k]! * levels[k]!
      strength[c * columns + k] = scatter / (usualTerm * gain)
      if (withLift) centre[c * columns + 3]! += declared[c]![k]! * levels[3 + k]!
    }
    if (withLift) strength[c * columns + 3] = scatter / usualOffset
  }
  return { strength, centre }
}
