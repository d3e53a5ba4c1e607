import { covarianceOf } from '../diagnose/covariance.ts'
import { IsochipError, isIsochipError, type Warning } from '../errors.ts'
import { type Fit, fitKind } from '../fit/fitKind.ts'
import { once } from '../once.ts'
import { differencesOnOthers } from '../prior/expectedDifference.ts'
import { informedFit } from '../prior/informedFit.ts'
import type { MatchProblem } from '../problem/matchProblem.ts'
import { blend, informedShare } from './blend.ts'
import type { Choice } from './choice.ts'
import { illPosedness } from './illPosedness.ts'
import { informedKind, informedMatch } from './informedMatch.ts'
import { leaveOneOut, leftOut, refitsWithout } from './leaveOneOut.ts'
import { settled } from './settled.ts'

interface Candidate {
  readonly fit: Fit
  readonly covariance: Choice['covariance']
  readonly left: readonly (number | undefined)[]
  readonly informed?: number
  /** θ without each sample. */
  readonly refits?: readonly (Float64Array | undefined)[]
  /** Mean leave-one-out ΔE00, and its standard error; infinite where a patch cannot be left out. */
  readonly mean: number
  readonly standardError: number
}

/** The largest linear kind that the patches carry is the plain one; what is simpler is for charts that carry no more. */
const plainKinds = ['lift-gain-matrix', 'matrix', 'lift-gain', 'gain'] as const
/** Where the prior speaks too, leave-one-out has only to agree. */
const agrees = 0.95
/** Without known spectra leave-one-out has to speak alone, and has to speak clearly. */
const clearly = 0.9
/** Below this belief in the readings light is not linear, or the chart another one. */
const believed = 0.5

/**
 * `lift-gain-matrix`, or a root-polynomial match where it is better (docs/decisions/0016).
 *
 * Where the chart's spectra are known the match is fitted to virtual patches too (`informedFit`), and blended with the
 * matrix by what leave-one-out says of both (`blend`): on two dozen patches it is too coarse to choose by. Where the readings
 * are not what any sensor may read of these spectra, it is the matrix: the curve is what is wrong then, and the thing to mend.
 * Where spectra are not known, terms beyond the matrix are regularised towards it, and taken if they predict patches left out a
 * tenth better.
 *
 * @throws IsochipError where the patches carry no kind at all
 */
export function chooseAuto(problem: MatchProblem, robust: boolean): Choice {
  const plain = plainFit(problem, robust)
  const candidates = [plain.candidate]
  const warnings: Warning[] = []
  const { kind } = plain.candidate.fit
  if (kind === 'lift-gain-matrix') {
    const rival = rivalOf(plain.candidate, plain.problem)
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
    problem: plain.problem,
    covariance: chosen!.covariance,
    leaveOneOut: chosen!.left,
    ...(chosen!.informed === undefined ? {} : { informed: chosen!.informed }),
    candidates: candidates
      // Of a single patch nothing can be left out.
      .filter(({ mean }) => Number.isFinite(mean))
      .map(({ fit, mean, standardError }) => ({ kind: fit.kind, leaveOneOut: mean, standardError })),
    warnings,
  }
}

/** The largest linear kind that the patches carry, with the outliers' weights taken down by it. */
function plainFit(problem: MatchProblem, robust: boolean): { candidate: Candidate; problem: MatchProblem } {
  let fault: IsochipError | undefined
  for (const kind of plainKinds) {
    // Twice as many patches as columns: below that, a matrix is a matter of luck.
    const { columns } = problem.design(kind)
    if (kind !== 'gain' && problem.active.length < 2 * columns) continue
    try {
      const fitted = settled(fitKind(kind, problem), problem, robust)
      const covariance = once(() => covarianceOf(fitted.fit, fitted.problem))
      if (illPosedness(fitted.fit, fitted.problem, covariance) !== undefined) continue
      const refits = refitsWithout(fitted.fit, fitted.problem)
      const left = leftOut(fitted.fit.design, refits, fitted.problem)
      const candidate = { fit: fitted.fit, covariance, left, refits, ...meanOf(left, fitted.problem) }
      if (kind !== 'gain' && candidate.mean === Number.POSITIVE_INFINITY) continue
      return { candidate, problem: fitted.problem }
    } catch (error) {
      if (!isIsochipError(error)) throw error
      fault ??= error
    }
  }
  throw fault ?? new IsochipError('too-few-patches', 'no patch to fit a model to')
}

/** A root-polynomial match to set against the matrix, and the share of its leave-one-out that it has to stay below. */
function rivalOf(
  plain: Candidate,
  problem: MatchProblem,
): { candidate: Candidate; share: number } | undefined {
  const { fit: matrix } = plain
  if (problem.objective !== 'perceptual' || problem.active.length < 4 * matrix.design.columns)
    return undefined
  const belief = problem.evidence()?.belief
  // Root terms take up a wrong curve, and leave-one-out does not see what they do to a patch at the end of the scale.
  if (belief !== undefined && belief < believed) return undefined
  const informed = belief === undefined ? undefined : informedRival(plain, problem)
  if (informed !== undefined) {
    const rival = believable(informed.fit, informed.left, problem, agrees)
    return rival && { ...rival, candidate: { ...rival.candidate, informed: informed.share } }
  }
  try {
    const fit = fitKind('root-polynomial-2', problem, matrix)
    return believable(fit, leaveOneOut(fit, problem), problem, clearly)
  } catch (error) {
    if (isIsochipError(error)) return undefined
    throw error
  }
}

function believable(
  fit: Fit,
  left: readonly (number | undefined)[],
  problem: MatchProblem,
  share: number,
): { candidate: Candidate; share: number } | undefined {
  const none = () => undefined
  if (illPosedness(fit, problem, none) !== undefined) return undefined
  return { candidate: { fit, covariance: none, left, ...meanOf(left, problem) }, share }
}

/** The match that also knows other materials, blended; `undefined` where the chart tells nothing of them. */
function informedRival(
  plain: Candidate,
  problem: MatchProblem,
): { fit: Fit; share: number; left: readonly (number | undefined)[] } | undefined {
  const informed = informedFit(informedKind, problem, plain.fit)
  if (informed === undefined) return undefined
  const design = problem.design(informedKind)
  const own = informed.leaveOneOut()
  const { mean } = meanOf(leftOut(design, own, problem), problem)
  const share = targetKnown(problem) ? 1 : informedShare(mean / plain.mean, unseenRatio(plain.fit, problem))
  const fit = informedMatch(informed, plain.fit, share, problem)
  const left = own.map((of, p) => plain.refits?.[p] && blend(of, plain.refits[p], share))
  return fit && { fit, share, left: leftOut(design, left, problem) }
}

/** Mean ΔE00 that the matrix is told to leave of other materials, over the root mean square that it leaves of the chart. */
function unseenRatio({ model, cost }: Fit, problem: MatchProblem): number {
  const others = differencesOnOthers(model, problem)
  if (others === undefined || cost === 0) return 1
  const mean = others.reduce((sum, value) => sum + value, 0) / others.length
  return mean / Math.sqrt(cost / problem.active.length)
}

/** Is the target of any material known, and not read? Then nothing of it is noise. */
const targetKnown = ({ samples }: MatchProblem): boolean => samples.targetWeights !== undefined

function meanOf(
  left: readonly (number | undefined)[],
  { active }: MatchProblem,
): { mean: number; standardError: number } {
  const values = active.map((p) => left[p]).filter((value) => value !== undefined)
  if (values.length === 0 || values.length < active.length)
    return { mean: values.length === 0 ? Number.NaN : Number.POSITIVE_INFINITY, standardError: Number.NaN }
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length
  const spread = values.reduce((sum, value) => sum + (value - mean) ** 2, 0)
  return { mean, standardError: Math.sqrt(spread / Math.max(values.length - 1, 1) / values.length) }
}
