import type { Fit } from '../fit/fitKind.ts'
import type { InformedFit } from '../prior/informedFit.ts'
import type { MatchProblem } from '../problem/matchProblem.ts'
import { blend } from './blend.ts'

/** The kind of match that also knows what the chart tells of other materials. */
export const informedKind = 'root-polynomial-3'

/** An informed fit as a match, with the matrix blended into it; `undefined` where it leaves white without a gain. */
export function informedMatch(
  informed: InformedFit,
  matrix: Fit,
  share: number,
  problem: MatchProblem,
): Fit | undefined {
  const design = problem.design(informedKind)
  const theta = blend(informed.theta, matrix.theta, share)
  const model = design.toModel(theta)
  if (model === undefined || ![...model.gain, ...model.matrix.flat()].every(Number.isFinite)) return undefined
  return {
    kind: informedKind,
    design,
    theta,
    model,
    cost: informed.cost,
    rank: design.columns,
    columns: design.columns,
    condition: matrix.condition,
    iterations: informed.iterations,
    converged: informed.converged,
    stopped: informed.converged ? 'another step gains less than a millionth' : 'no step lowers the cost',
    prior: { ...informed.priorAt(theta), strength: new Float64Array(design.parameters) },
  }
}
