import { covarianceOf } from '../diagnose/covariance.ts'
import { IsochipError, isIsochipError, type Warning } from '../errors.ts'
import type { FitContext } from '../fit/fitContext.ts'
import { type Fit, fitKind } from '../fit/fitKind.ts'
import { designOf } from '../model/designOf.ts'
import type { ModelKind } from '../model/modelKind.ts'
import { once } from '../once.ts'
import { informedFit } from '../prior/informedFit.ts'
import { sensorPrior } from '../prior/sensorPrior.ts'
import { type ChartEvidence, chartEvidence } from '../prior/virtualPatches.ts'
import type { Samples } from '../samples/samples.ts'
import type { Choice } from './choice.ts'
import { leaveOneOut } from './leaveOneOut.ts'
import { settled } from './settled.ts'
import { wildness } from './wildness.ts'

interface Candidate {
  readonly fit: Fit
  readonly covariance: Choice['covariance']
  readonly left: readonly (number | undefined)[]
  /** Mean leave-one-out ΔE00, and its standard error; infinite where a patch cannot be left out. */
  readonly mean: number
  readonly standardError: number
}

/** The largest linear kind that the patches carry is the plain one; what is simpler is for charts that carry no more. */
const plainKinds = ['lift-gain-matrix', 'matrix', 'lift-gain', 'gain'] as const
/** Where the prior speaks too, leave-one-out has to agree by as much as two dozen noisy patches mislead it. */
const agrees = 0.95
/** Without known spectra leave-one-out has to speak alone, and has to speak clearly. */
const clearly = 0.9

/**
 * `lift-gain-matrix`, or a root-polynomial match where it is better (docs/decisions/0015).
 *
 * Where the chart's spectra are known the match is fitted to virtual patches too (`informedFit`), and leave-one-out
 * has only to agree: on two dozen patches it is too coarse to choose by. Where they are not, terms beyond the matrix are
 * drawn towards it, and taken if they predict patches left out a tenth better.
 *
 * @throws IsochipError where the patches carry no kind at all
 */
export function chooseAuto(samples: Samples, context: FitContext, robust: boolean): Choice {
  const plain = plainFit(samples, context, robust)
  const evidence = once(() => chartEvidence(plain.samples, context.sensors ?? sensorPrior()))
  const candidates = [plain.candidate]
  const warnings: Warning[] = []
  const { kind } = plain.candidate.fit
  if (kind === 'lift-gain-matrix') {
    const rival = rivalOf(plain.candidate.fit, plain.samples, context, evidence())
    if (rival !== undefined) candidates.push(rival.candidate)
    if (rival !== undefined && rival.candidate.mean <= rival.share * plain.candidate.mean)
      candidates.reverse()
  } else if (kind !== 'matrix') {
    warnings.push({
      code: 'model-reduced',
      message: `the patches carry no more than the model ${kind}: colour crosstalk is left as it is`,
    })
  }
  const [chosen] = candidates
  return {
    fit: chosen!.fit,
    samples: plain.samples,
    covariance: chosen!.covariance,
    leaveOneOut: chosen!.left,
    evidence,
    informed: chosen!.fit.kind === informedKind,
    candidates: candidates
      // Of a single patch nothing can be left out.
      .filter(({ mean }) => Number.isFinite(mean))
      .map(({ fit, mean, standardError }) => ({ kind: fit.kind, leaveOneOut: mean, standardError })),
    warnings,
  }
}

/** The largest linear kind that the patches carry, with the outliers' weights taken down by it. */
function plainFit(
  samples: Samples,
  context: FitContext,
  robust: boolean,
): { candidate: Candidate; samples: Samples } {
  let fault: IsochipError | undefined
  for (const kind of plainKinds) {
    // Twice as many patches as columns: below that, a matrix is a matter of luck.
    const { columns } = designOf(kind, { samples, declared: context.declared })
    if (kind !== 'gain' && taking(samples) < 2 * columns) continue
    try {
      const fitted = settled(fitKind(kind, samples, context), samples, context, robust)
      const covariance = once(() => covarianceOf(fitted.fit, fitted.samples, context))
      if (wildness(fitted.fit, fitted.samples, context, covariance) !== undefined) continue
      const left = leaveOneOut(fitted.fit, fitted.samples, context)
      const candidate = { fit: fitted.fit, covariance, left, ...meanOf(left, fitted.samples) }
      if (kind !== 'gain' && candidate.mean === Number.POSITIVE_INFINITY) continue
      return { candidate, samples: fitted.samples }
    } catch (error) {
      if (!isIsochipError(error)) throw error
      fault ??= error
    }
  }
  throw fault ?? new IsochipError('too-few-patches', 'no patch to fit a model to')
}

/** A root-polynomial match to set against the matrix, and the share of its leave-one-out that it has to stay below. */
function rivalOf(
  matrix: Fit,
  samples: Samples,
  context: FitContext,
  evidence: ChartEvidence | undefined,
): { candidate: Candidate; share: number } | undefined {
  if (context.objective !== 'perceptual' || taking(samples) < 4 * matrix.design.columns) return undefined
  const informed = evidence && informedRival(matrix, samples, context, evidence)
  if (informed !== undefined) return believable(informed.fit, informed.left(), samples, context, agrees)
  try {
    const fit = fitKind('root-polynomial-2', samples, context, matrix)
    return believable(fit, leaveOneOut(fit, samples, context), samples, context, clearly)
  } catch (error) {
    if (isIsochipError(error)) return undefined
    throw error
  }
}

function believable(
  fit: Fit,
  left: readonly (number | undefined)[],
  samples: Samples,
  context: FitContext,
  share: number,
): { candidate: Candidate; share: number } | undefined {
  const none = () => undefined
  if (wildness(fit, samples, context, none) !== undefined) return undefined
  return { candidate: { fit, covariance: none, left, ...meanOf(left, samples) }, share }
}

const informedKind: ModelKind & `root${string}` = 'root-polynomial-3'

/** The match that also knows what the chart tells of other materials; `undefined` where it tells nothing. */
function informedRival(
  matrix: Fit,
  samples: Samples,
  context: FitContext,
  evidence: ChartEvidence,
): { fit: Fit; left: () => readonly number[] } | undefined {
  const informed = informedFit(informedKind, samples, evidence, matrix, context.viewer)
  if (informed === undefined) return undefined
  const design = designOf(informedKind, { samples, declared: context.declared })
  const model = design.toModel(informed.theta)
  if (model === undefined || ![...model.gain, ...model.matrix.flat()].every(Number.isFinite)) return undefined
  return {
    fit: {
      kind: informedKind,
      design,
      theta: informed.theta,
      model,
      cost: informed.cost,
      rank: design.columns,
      columns: design.columns,
      condition: matrix.condition,
      iterations: informed.iterations,
      converged: informed.converged,
      stopped: informed.converged ? 'another step gains less than a millionth' : 'no step lowers the cost',
      prior: { ...informed.pull, strength: new Float64Array(design.parameters) },
    },
    left: () => [...informed.leaveOneOut()],
  }
}

const taking = ({ weight }: Samples) => weight.reduce((sum, w) => sum + (w > 0 ? 1 : 0), 0)

function meanOf(
  left: readonly (number | undefined)[],
  samples: Samples,
): { mean: number; standardError: number } {
  const values = left.filter((value, p): value is number => value !== undefined && samples.weight[p]! > 0)
  if (values.length === 0 || values.length < taking(samples))
    return { mean: values.length === 0 ? Number.NaN : Number.POSITIVE_INFINITY, standardError: Number.NaN }
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length
  const spread = values.reduce((sum, value) => sum + (value - mean) ** 2, 0)
  return { mean, standardError: Math.sqrt(spread / Math.max(values.length - 1, 1) / values.length) }
}
