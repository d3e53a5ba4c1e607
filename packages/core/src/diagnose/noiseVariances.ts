import type { FitContext } from '../fit/fitContext.ts'
import { problemOf } from '../fit/fitKind.ts'
import { designOf } from '../model/designOf.ts'
import type { ModelKind } from '../model/modelKind.ts'
import type { Samples } from '../samples/samples.ts'

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
    const residualsAt = movedResiduals(kind, theta, samples, context, of)
    const step = 1e-6 * samples[of].reduce((most, value) => Math.max(most, Math.abs(value)), 0)
    for (let c = 0; c < 3; c++) {
      const up = residualsAt(c, step)
      const down = residualsAt(c, -step)
      for (let i = 0; i < 3 * count; i++) {
        const slope = (up[i]! - down[i]!) / (2 * step)
        sum[i]! += (slope * error[i - (i % 3) + c]!) ** 2
      }
    }
  }
  return sum
}

/** The residuals where one channel of source or target is moved in every patch: each patch's residuals depend on its own only. */
function movedResiduals(
  kind: ModelKind,
  theta: Float64Array,
  samples: Samples,
  context: FitContext,
  of: 'source' | 'target',
): (channel: number, by: number) => Float64Array {
  const values = Float64Array.from(samples[of])
  const moved: Samples = { ...samples, [of]: values }
  const design = designOf(kind, { samples: moved, declared: context.declared })
  const sourceMoved = problemOf(design, moved, context)
  return (channel, by) => {
    values.set(samples[of])
    for (let i = channel; i < values.length; i += 3) values[i]! += by
    // A problem reads its target when it is made, its source whenever it is evaluated.
    const problem = of === 'source' ? sourceMoved : problemOf(design, moved, context)
    const residuals = new Float64Array(values.length)
    problem.evaluate(theta, residuals)
    return residuals
  }
}
