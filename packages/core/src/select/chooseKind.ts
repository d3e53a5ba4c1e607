import { type Covariance, covarianceOf } from '../diagnose/covariance.ts'
import { IsochipError, type Warning } from '../errors.ts'
import { type Fit, type FitContext, fitKind } from '../fit/fitKind.ts'
import type { Diagnosis } from '../match/result.ts'
import type { ModelKind } from '../model/model.ts'
import { once } from '../once.ts'
import type { ChartEvidence } from '../prior/virtualPatches.ts'
import type { Samples } from '../samples/samples.ts'
import { chooseAuto } from './chooseAuto.ts'
import { settled } from './settled.ts'
import { wildness } from './wildness.ts'

export interface Choice {
  readonly fit: Fit
  /** The samples with the outliers' weights taken down. */
  readonly samples: Samples
  /** Of the fit: what it was judged by, and what its intervals are of. */
  readonly covariance: () => Covariance | undefined
  readonly leaveOneOut?: readonly (number | undefined)[]
  /** What the chart tells of other materials, where it was asked. */
  readonly evidence?: () => ChartEvidence | undefined
  /** Was the fit made to other materials too? */
  readonly informed?: boolean
  readonly candidates?: NonNullable<Diagnosis['candidates']>
  readonly warnings: readonly Warning[]
}

/**
 * The kind that was asked for, or for `auto` the one that is best on materials beside the chart (`chooseAuto`).
 *
 * @throws IsochipError where the patches do not carry the kind asked for, or (for `auto`) any kind
 */
export function chooseKind(
  requested: ModelKind | 'auto',
  samples: Samples,
  context: FitContext,
  robust: boolean,
): Choice {
  if (requested === 'auto') return chooseAuto(samples, context, robust)
  const fitted = settled(fitKind(requested, samples, context), samples, context, robust)
  const covariance = once(() => covarianceOf(fitted.fit, fitted.samples, context))
  const wild = wildness(fitted.fit, fitted.samples, context, covariance)
  if (wild !== undefined) {
    throw new IsochipError('rank-deficient', `the patches do not determine the model ${requested}: ${wild}`, {
      hint: 'are the patches nearly of one colour, or very noisy? use model lift-gain or gain, or auto',
    })
  }
  return { ...fitted, covariance, warnings: [] }
}
