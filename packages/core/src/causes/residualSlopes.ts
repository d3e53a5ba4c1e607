import type { FitContext } from '../fit/fitContext.ts'
import { problemOf } from '../fit/fitKind.ts'
import type { Design } from '../model/design.ts'
import { designOf } from '../model/designOf.ts'
import type { Samples } from '../samples/samples.ts'

/** The residuals of a fit in ΔE00, three a patch, unweighted, and how they move. */
export interface ResidualSlopes {
  readonly residuals: Float64Array
  /** By θ: 3·patches × parameters, row-major. */
  readonly byTheta: Float64Array
  /** By the light of source and target: nine numbers a patch, residual by channel, row-major. */
  readonly bySource: Float64Array
  readonly byTarget: Float64Array
}

/** To first order, at a solution θ. */
export function residualSlopes(
  design: Design,
  theta: Float64Array,
  samples: Samples,
  context: FitContext,
): ResidualSlopes {
  const { count } = samples
  const even: Samples = { ...samples, weight: new Float64Array(count).fill(1) }
  const perceptual: FitContext = { ...context, objective: 'perceptual' }
  const residuals = new Float64Array(3 * count)
  const byTheta = new Float64Array(3 * count * design.parameters)
  problemOf(design, even, perceptual).evaluate(theta, residuals, byTheta)
  const by = (of: 'source' | 'target') => {
    const values = Float64Array.from(samples[of])
    const moved: Samples = { ...even, [of]: values }
    const movedDesign = designOf(design.kind, { samples: moved, declared: context.declared })
    const problem = problemOf(movedDesign, moved, perceptual)
    const slopes = new Float64Array(9 * count)
    const step = 1e-5 * samples[of].reduce((most, value) => Math.max(most, Math.abs(value)), 1e-9)
    const at = new Float64Array(3 * count)
    for (let c = 0; c < 3; c++) {
      for (const side of [1, -1]) {
        for (let i = c; i < values.length; i += 3) values[i] = samples[of][i]! + side * step
        // A problem reads its target when it is made, its source whenever it is evaluated.
        const here = of === 'source' ? problem : problemOf(movedDesign, moved, perceptual)
        here.evaluate(theta, at)
        for (let i = 0; i < at.length; i++) slopes[3 * i + c]! += (side * at[i]!) / (2 * step)
      }
      for (let i = c; i < values.length; i += 3) values[i] = samples[of][i]!
    }
    return slopes
  }
  return { residuals, byTheta, bySource: by('source'), byTarget: by('target') }
}
