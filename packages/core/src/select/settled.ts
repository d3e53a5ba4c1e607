import { tellCauses } from '../causes/tellCauses.ts'
import type { FitContext } from '../fit/fitContext.ts'
import { type Fit, fitKind } from '../fit/fitKind.ts'
import { reweighted, type Samples } from '../samples/samples.ts'
import { outlierFactors } from './outliers.ts'

/** Take the outliers' weights down, and fit again where there are any. */
export function settled(
  first: Fit,
  samples: Samples,
  context: FitContext,
  robust: boolean,
): { fit: Fit; samples: Samples } {
  if (!robust) return { fit: first, samples }
  const factors = outlierFactors(first, samples, context)
  if (factors.every((factor) => factor === 1)) return { fit: first, samples }
  const without = (outlying: Float64Array) => {
    const lowered = reweighted(
      samples,
      samples.weight.map((w, p) => w * outlying[p]!),
    )
    return { fit: fitKind(first.kind, lowered, context), samples: lowered }
  }
  const candidates = without(factors)
  const foreign = foreignFactors(candidates.fit, candidates.samples, context, factors)
  if (foreign.every((factor, p) => factor === factors[p])) return candidates
  return foreign.every((factor) => factor === 1) ? { fit: first, samples } : without(foreign)
}

/** An outlier is foreign where the residuals are so much more probable with it let go: e⁶ times. */
const certain = 6

/** The factors of those outliers that neither different spectra nor another common cause explains; 1 for the others. */
function foreignFactors(
  fit: Fit,
  samples: Samples,
  context: FitContext,
  factors: Float64Array,
): Float64Array {
  const outliers = new Set([...factors.keys()].filter((p) => factors[p]! < 1))
  const causes = tellCauses({ fit, samples, context, foreign: outliers })
  if (causes === undefined) return factors
  return factors.map((factor, p) => ((causes.foreignGains.get(p) ?? 0) < certain ? 1 : factor))
}
