import { designOf } from './designOf.ts'
import { type FitContext, problemOf } from './fitKind.ts'
import type { ModelKind } from './model.ts'
import type { Samples } from './samples.ts'

/** What the standard errors of readings and target put into each residual's variance, to first order: three a patch. */
export function noiseVariances(
  kind: ModelKind,
  theta: Float64Array,
  samples: Samples,
  context: FitContext,
): Float64Array {
  const { count } = samples
  const sum = new Float64Array(3 * count)
  for (const of of ['source', 'target'] as const) {
    const error = of === 'source' ? samples.sourceError : samples.targetError
    if (error.every((value) => value === 0)) continue
    const step = 1e-6 * Math.max(...samples[of].map(Math.abs))
    for (let c = 0; c < 3; c++) {
      const residualsAt = (by: number): Float64Array => {
        const values = Float64Array.from(samples[of])
        for (let p = 0; p < count; p++) values[3 * p + c]! += by
        const moved: Samples = { ...samples, [of]: values }
        const design = designOf(kind, { samples: moved, declared: context.declared })
        const out = new Float64Array(3 * count)
        problemOf(design, moved, context).evaluate(theta, out)
        return out
      }
      const up = residualsAt(step)
      const down = residualsAt(-step)
      for (let i = 0; i < 3 * count; i++) {
        const slope = (up[i]! - down[i]!) / (2 * step)
        sum[i]! += (slope * error[3 * Math.floor(i / 3) + c]!) ** 2
      }
    }
  }
  return sum
}
