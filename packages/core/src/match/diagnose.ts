import type { Chart } from '../chart/chart.ts'
import type { Warning } from '../errors.ts'
import type { Fit, FitContext } from './fitKind.ts'
import { intervalsOf } from './intervals.ts'
import type { FitOptions } from './options.ts'
import type { Prepared } from './prepareSamples.ts'
import type { Diagnosis } from './result.ts'
import type { Samples } from './samples.ts'

export interface DiagnoseInput {
  readonly chart: Chart
  readonly fit: Fit
  readonly samples: Samples
  readonly context: FitContext
  readonly prepared: Prepared
  readonly evenness: NonNullable<FitOptions['evenness']>
  readonly candidates: Diagnosis['candidates'] | undefined
  readonly noiseAmplification: Diagnosis['noiseAmplification']
}

/** Above this the columns of the design are so nearly dependent that small errors of the readings show in the terms. */
const highCondition = 1000

/** What the fit says of itself. */
export function diagnose(input: DiagnoseInput): { diagnosis: Diagnosis; warnings: readonly Warning[] } {
  const { fit, samples, context, candidates } = input
  const warnings: Warning[] = []
  const intervals = intervalsOf(fit, samples, context)
  if (fit.condition > highCondition) {
    warnings.push({
      code: 'ill-conditioned',
      message: `the patches hardly tell the terms apart (condition ${Math.round(fit.condition)}): see the intervals of the terms`,
    })
  }
  return {
    warnings,
    diagnosis: {
      patchesUsed: samples.count,
      parameters: fit.design.parameters,
      rank: fit.rank,
      columns: fit.columns,
      condition: fit.condition,
      objective: context.objective,
      iterations: fit.iterations,
      converged: fit.converged,
      stopped: fit.stopped,
      noiseAmplification: input.noiseAmplification,
      ...(intervals === undefined ? {} : { intervals }),
      ...(candidates === undefined ? {} : { candidates }),
    },
  }
}
