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
  const lowered = reweighted(
    samples,
    samples.weight.map((w, p) => w * factors[p]!),
  )
  return { fit: fitKind(first.kind, lowered, context), samples: lowered }
}
