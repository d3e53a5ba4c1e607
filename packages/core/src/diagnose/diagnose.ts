import type { Warning } from '../errors.ts'
import type { Fit } from '../fit/fitKind.ts'
import { given } from '../given.ts'
import type { Diagnosis } from '../match/result.ts'
import type { MatchProblem } from '../problem/matchProblem.ts'
import type { Prepared } from '../samples/prepareSamples.ts'
import { residualBudget } from './budget.ts'
import type { Covariance } from './covariance.ts'
import type { LightField } from './evenness.ts'
import { intervalsOf } from './intervals.ts'

export interface DiagnoseInput {
  readonly fit: Fit
  readonly problem: MatchProblem
  /** Of the fit. */
  readonly covariance: () => Covariance | undefined
  readonly prepared: Prepared
  /** As estimated from the readings as shot. */
  readonly field: LightField | undefined
  /** Has it been divided out of the samples? */
  readonly divided: boolean
  readonly candidates: Diagnosis['candidates'] | undefined
  readonly noiseAmplification: Diagnosis['noiseAmplification']
}

/** Above this the columns of the design are so nearly dependent that small errors of the readings show in the terms. */
const highCondition = 1000

/** A chart is lit evenly within a tenth of a stop: common practice, no source. */
const evenLight = 0.1

/** What the fit says of itself. */
export function diagnose(input: DiagnoseInput): { diagnosis: Diagnosis; warnings: readonly Warning[] } {
  const { fit, problem, candidates } = input
  const { samples } = problem
  const warnings: Warning[] = []
  const intervals = intervalsOf(fit.model, input.covariance)
  const { field, divided } = input
  const asked = input.prepared.samples.weight
  const outliers = new Set([...asked.keys()].filter((p) => samples.weight[p]! < asked[p]!))
  const budget = residualBudget(fit, problem, outliers)
  if (field !== undefined && field.range - 2 * field.standardError > evenLight) {
    warnings.push({
      code: 'uneven-light',
      message: `the light differs by ${field.range.toFixed(2)} stops (± ${(2 * field.standardError).toFixed(2)}) across the chart, compared with the target's${divided ? '; it has been flat-fielded' : ': light it evenly within a tenth of a stop, or have it flat-fielded'}`,
    })
  }
  if (fit.condition > highCondition) {
    warnings.push({
      code: 'ill-conditioned',
      message: `the terms of the model are nearly collinear on these patches (condition ${Math.round(fit.condition)}): see their intervals`,
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
      objective: problem.objective,
      iterations: fit.iterations,
      converged: fit.converged,
      stopped: fit.stopped,
      noiseAmplification: input.noiseAmplification,
      ...given({ intervals, budget }),
      ...(field === undefined ? {} : { evenness: evennessOf(field, divided) }),
      ...given({ candidates }),
    },
  }
}

function evennessOf(field: LightField, divided: boolean): NonNullable<Diagnosis['evenness']> {
  return { stops: field.range, standardError: field.standardError, field: field.stops, divided }
}
