import { tellCauses } from '../causes/tellCauses.ts'
import { type Fit, fitKind } from '../fit/fitKind.ts'
import type { MatchProblem } from '../problem/matchProblem.ts'
import { outlierFactors } from './outliers.ts'

interface Settled {
  readonly fit: Fit
  /** What it is the fit to. */
  readonly problem: MatchProblem
}

/** Take the outliers' weights down, and fit again where there are any. */
export function settled(first: Fit, problem: MatchProblem, robust: boolean): Settled {
  if (!robust) return { fit: first, problem }
  return settleOutliers({ fit: first, problem }, (factors) => {
    const lowered = problem.reweighted(problem.samples.weight.map((w, p) => w * factors[p]!))
    return { fit: fitKind(first.kind, lowered), problem: lowered }
  })
}

/**
 * The same for any way of fitting.
 *
 * @param without fits again, with each sample's weight multiplied by a factor.
 */
export function settleOutliers<T extends Settled>(first: T, without: (factors: Float64Array) => T): T {
  const factors = outlierFactors(first.fit, first.problem)
  if (factors.every((factor) => factor === 1)) return first
  const candidates = without(factors)
  const foreign = foreignFactors(candidates.fit, candidates.problem, factors)
  if (foreign.every((factor, p) => factor === factors[p])) return candidates
  return foreign.every((factor) => factor === 1) ? first : without(foreign)
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
