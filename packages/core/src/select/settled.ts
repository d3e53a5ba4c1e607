import { tellCauses } from '../causes/tellCauses.ts'
import { type Fit, fitKind } from '../fit/fitKind.ts'
import type { MatchProblem } from '../problem/matchProblem.ts'
import { outlierFactors } from './outliers.ts'

/** Take the outliers' weights down, and fit again where there are any. */
export function settled(
  first: Fit,
  problem: MatchProblem,
  robust: boolean,
): { fit: Fit; problem: MatchProblem } {
  if (!robust) return { fit: first, problem }
  const factors = outlierFactors(first, problem)
  if (factors.every((factor) => factor === 1)) return { fit: first, problem }
  const without = (outlying: Float64Array) => {
    const lowered = problem.reweighted(problem.samples.weight.map((w, p) => w * outlying[p]!))
    return { fit: fitKind(first.kind, lowered), problem: lowered }
  }
  const candidates = without(factors)
  const foreign = foreignFactors(candidates.fit, candidates.problem, factors)
  if (foreign.every((factor, p) => factor === factors[p])) return candidates
  return foreign.every((factor) => factor === 1) ? { fit: first, problem } : without(foreign)
}

/** An outlier is foreign where the residuals are so much more probable with it let go: e⁶ times. */
const certain = 6

/** The factors of those outliers that neither different spectra nor another common cause explains; 1 for the others. */
function foreignFactors(fit: Fit, problem: MatchProblem, factors: Float64Array): Float64Array {
  const outliers = new Set([...factors.keys()].filter((p) => factors[p]! < 1))
  const causes = tellCauses({ fit, problem, foreign: outliers })
  if (causes === undefined) return factors
  return factors.map((factor, p) => ((causes.foreignGains.get(p) ?? 0) < certain ? 1 : factor))
}
