import { isIsochipError } from '../errors.ts'
import { type Fit, fitKind } from '../fit/fitKind.ts'
import type { MatchModel } from '../model/model.ts'
import type { MatchProblem } from '../problem/matchProblem.ts'

/** Lift and gain alone, or gain alone where the patches do not carry the lift. */
export function balanced(problem: MatchProblem, fit: Fit): MatchModel {
  if (fit.kind === 'gain' || fit.kind === 'lift-gain') return fit.model
  try {
    return fitKind('lift-gain', problem).model
  } catch (error) {
    if (!isIsochipError(error)) throw error
    return fitKind('gain', problem).model
  }
}
