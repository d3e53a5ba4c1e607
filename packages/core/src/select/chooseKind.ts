import { type Covariance, covarianceOf } from '../diagnose/covariance.ts'
import { IsochipError, type Warning } from '../errors.ts'
import { type Fit, type FitContext, fitKind } from '../fit/fitKind.ts'
import type { Diagnosis } from '../match/result.ts'
import { designOf } from '../model/designOf.ts'
import { type ModelKind, modelKinds } from '../model/model.ts'
import { once } from '../once.ts'
import { reweighted, type Samples } from '../samples/samples.ts'
import { leaveOneOut } from './leaveOneOut.ts'
import { outlierFactors } from './outliers.ts'
import { wildness } from './wildness.ts'

export interface Choice {
  readonly fit: Fit
  /** The samples with the outliers' weights taken down. */
  readonly samples: Samples
  /** Of the fit: what it was judged by, and what its intervals are of. */
  readonly covariance: () => Covariance | undefined
  readonly leaveOneOut?: readonly (number | undefined)[]
  readonly candidates?: NonNullable<Diagnosis['candidates']>
  readonly warnings: readonly Warning[]
}

/**
 * The kind that was asked for, or for `auto` the simplest one that predicts unseen patches as well as the best.
 *
 * @throws IsochipError where the patches do not carry the kind asked for, or (for `auto`) any kind
 */
export function chooseKind(
  requested: ModelKind | 'auto',
  samples: Samples,
  context: FitContext,
  robust: boolean,
): Choice {
  if (requested === 'auto') return chooseByPrediction(samples, context, robust)
  const first = fitKind(requested, samples, context)
  const fitted = settle(first, samples, context, robust)
  const covariance = once(() => covarianceOf(fitted.fit, fitted.samples, context))
  const wild = wildness(fitted.fit, fitted.samples, context, covariance)
  if (wild !== undefined) {
    throw new IsochipError('rank-deficient', `the patches do not determine the model ${requested}: ${wild}`, {
      hint: 'are the patches nearly of one colour, or very noisy? use model lift-gain or gain, or auto',
    })
  }
  return { ...fitted, covariance, warnings: [] }
}

/** Take the outliers' weights down, and fit again where there are any. */
function settle(
  first: Fit,
  samples: Samples,
  context: FitContext,
  robust: boolean,
): { fit: Fit; samples: Samples } {
  if (!robust) return { fit: first, samples }
  const factors = outlierFactors(first, samples, context)
  if (factors.every((factor) => factor === 1)) return { fit: first, samples }
  const settled = reweighted(
    samples,
    samples.weight.map((w, p) => w * factors[p]!),
  )
  return { fit: fitKind(first.kind, settled, context), samples: settled }
}

interface Candidate {
  readonly fit: Fit
  readonly covariance: Choice['covariance']
  readonly left: readonly (number | undefined)[]
  readonly mean: number
  readonly standardError: number
}

/**
 * Leave-one-out with the one-standard-error rule (Breiman, Friedman, Olshen, Stone, Classification and Regression
 * Trees, 1984, section 3.4.3), the standard error being that of the difference to the best, patch by patch: what all
 * kinds find hard says nothing about which of them is better.
 *
 * The rule runs over gain, lift-gain and lift-gain-matrix. From there a kind without lift is taken only where it is
 * better by two standard errors. A root-polynomial kind is drawn towards lift-gain-matrix, and taken only where that
 * leaves something to be seen and it is better beyond doubt: so that it hardly ever loses on materials that are not on
 * the chart (docs/decisions/0002).
 */
function chooseByPrediction(samples: Samples, context: FitContext, robust: boolean): Choice {
  const { settled, refused } = settledSamples(samples, context, robust)
  const taking = settled.weight.reduce((sum, w) => sum + (w > 0 ? 1 : 0), 0)
  const candidates: Candidate[] = []
  const faults: IsochipError[] = [...refused]
  for (const kind of modelKinds) {
    // Twice as many patches as columns: below that, what leave-one-out leaves is itself a matter of luck.
    const { columns } = designOf(kind, { samples: settled, declared: context.declared })
    if (kind !== 'gain' && taking < 2 * columns) continue
    try {
      const matrix = candidates.find(({ fit }) => fit.kind === 'lift-gain-matrix')?.fit
      const drawn = kind.startsWith('root-polynomial') && context.objective === 'perceptual'
      const fit = fitKind(kind, settled, context, drawn ? matrix : undefined)
      const covariance = once(() => covarianceOf(fit, settled, context))
      if (wildness(fit, settled, context, covariance) !== undefined) continue
      const left = leaveOneOut(fit, settled, context)
      const counted = left.filter(
        (value, p): value is number => value !== undefined && settled.weight[p]! > 0,
      )
      if (counted.length < taking && kind !== 'gain') continue
      candidates.push({ fit, covariance, left, ...meanOf(counted) })
    } catch (error) {
      if (!(error instanceof IsochipError)) throw error
      faults.push(error)
    }
  }
  // Readings that carry no linear kind are not to be trusted with more terms.
  if (candidates.every(({ fit }) => fit.model.rootPolynomial !== undefined))
    throw faults.at(-1) ?? new IsochipError('too-few-patches', 'no patch to fit a model to')
  const chosen = choose(candidates, settled)
  const warnings: Warning[] = []
  if (!candidates.some(({ fit }) => fit.kind === 'lift-gain-matrix' || fit.kind === 'matrix')) {
    warnings.push({
      code: 'model-reduced',
      message: `the patches carry no more than the model ${chosen.fit.kind}: colour crosstalk is left as it is`,
    })
  }
  return {
    fit: chosen.fit,
    samples: settled,
    covariance: chosen.covariance,
    leaveOneOut: chosen.left,
    // Of a single patch nothing can be left out.
    candidates: candidates
      .filter(({ mean }) => Number.isFinite(mean))
      .map(({ fit, mean, standardError }) => ({ kind: fit.kind, leaveOneOut: mean, standardError })),
    warnings,
  }
}

/**
 * Within one standard error of the best is as good as the best, if it is also within this share of its mean ΔE00 or
 * within what nobody sees: two dozen patches have wide standard errors, and a matrix that is worth a tenth hides in them.
 */
const sameShare = 0.02
const unseen = 0.01
/** Where unseen patches come out nearer than this in the mean ΔE00, more terms gain little that anybody sees … */
const nearEnough = 0.8
/** … unless they leave less than this share of it: then the camera is of their kind, and no sensor that was measured is. */
const ofItsKind = 0.5
/** A gain in that mean, beyond two of its standard errors, that is worth a model which is harder to check. */
const worthwhile = 0.05

function choose(candidates: readonly Candidate[], samples: Samples): Candidate {
  const of = (kind: ModelKind) => candidates.find((candidate) => candidate.fit.kind === kind)
  const ladder = [
    'gain',
    'lift-gain',
    of('lift-gain-matrix') === undefined ? 'matrix' : 'lift-gain-matrix',
  ] as const
  const steps = ladder.flatMap((kind) => of(kind) ?? [])
  const best = steps.reduce((least, candidate) => (candidate.mean < least.mean ? candidate : least))
  const same = (candidate: Candidate) =>
    candidate.mean - best.mean <=
    Math.min(errorOfDifference(candidate, best, samples), Math.max(sameShare * best.mean, unseen))
  const base = steps.find(same) ?? best
  if (base.fit.kind !== 'lift-gain-matrix') return base
  const better = (kind: ModelKind, by: number): Candidate[] => {
    const candidate = of(kind)
    if (candidate === undefined) return []
    const gain = base.mean - candidate.mean
    return gain > by + 2 * errorOfDifference(candidate, base, samples) ? [candidate] : []
  }
  const rivals = [
    ...better('matrix', 0),
    ...[...better('root-polynomial-2', worthwhile), ...better('root-polynomial-3', worthwhile)].filter(
      ({ mean }) => base.mean > nearEnough || mean < ofItsKind * base.mean,
    ),
  ]
  return rivals.reduce((least, candidate) => (candidate.mean < least.mean ? candidate : least), base)
}

/** Outliers are judged once, by the largest linear kind that fits, so that all kinds are compared on the same patches. */
function settledSamples(
  samples: Samples,
  context: FitContext,
  robust: boolean,
): { settled: Samples; refused: IsochipError[] } {
  const refused: IsochipError[] = []
  for (const kind of ['lift-gain-matrix', 'lift-gain', 'gain'] as const) {
    try {
      return { settled: settle(fitKind(kind, samples, context), samples, context, robust).samples, refused }
    } catch (error) {
      if (!(error instanceof IsochipError)) throw error
      refused.push(error)
    }
  }
  return { settled: samples, refused }
}

function meanOf(values: readonly number[]): { mean: number; standardError: number } {
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length
  const spread = values.reduce((sum, value) => sum + (value - mean) ** 2, 0)
  return { mean, standardError: Math.sqrt(spread / Math.max(values.length - 1, 1) / values.length) }
}

function errorOfDifference(one: Candidate, other: Candidate, samples: Samples): number {
  const differences = one.left.flatMap((value, p) => {
    const against = other.left[p]
    return value !== undefined && against !== undefined && samples.weight[p]! > 0 ? [value - against] : []
  })
  return meanOf(differences).standardError
}
