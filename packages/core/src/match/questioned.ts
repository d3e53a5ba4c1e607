import { doubtCurve } from '../curve/doubtCurve.ts'
import type { Fit } from '../fit/fitKind.ts'
import { invert3, multiply3 } from '../linear/mat3.ts'
import { channelOrder } from '../misread/channelOrder.ts'
import type { Misreading } from '../misread/misreading.ts'
import { joinAffine } from '../model/splitAffine.ts'
import type { MatchProblem } from '../problem/matchProblem.ts'
import type { Prepared } from '../samples/prepareSamples.ts'
import { misreadOf } from './fitShot.ts'
import type { MatchInput } from './matchInput.ts'
import type { FitOptions } from './options.ts'
import type { EncodingDoubt } from './result.ts'

/** A match whose figures are to be believed or not. */
interface Matched {
  readonly prepared: Prepared
  /** With the outliers' weights taken down. */
  readonly problem: MatchProblem
  readonly fit: Fit
  /** Mean ΔE00 over the patches used, as matched and each left out in turn. */
  readonly summary: {
    readonly after: { readonly mean: number }
    readonly leaveOneOut?: { readonly mean: number }
  }
}

/** What speaks against a match as a whole; at most one of the two, since a misread chart says nothing of the curve. */
export interface Questioned {
  readonly misread?: Misreading
  readonly doubt?: EncodingDoubt
}

/**
 * Was the chart read as it stands in the frame, and is the curve the declared one?
 *
 * @param remedies is it to be worked out, too, what a corrected or a measured curve would leave? It takes most of the time
 */
export function questioned(
  input: MatchInput,
  options: FitOptions,
  matched: Matched,
  { remedies = true }: { readonly remedies?: boolean } = {},
): Questioned {
  const { prepared, problem, summary } = matched
  const misread = looksMisread(matched) ? misreadOf(input, prepared, problem)() : undefined
  if (misread !== undefined) return { misread }
  // What is fitted along answers for itself, and the tests are made for the perceptual objective.
  if ((options.curve ?? 'declared') !== 'declared' || problem.objective !== 'perceptual') return {}
  const doubt = doubtCurve({
    ...input,
    options,
    prepared,
    problem,
    leaveOneOut: summary.leaveOneOut?.mean ?? 0,
    withoutRemedies: !remedies,
  })
  return doubt === undefined ? {} : { doubt }
}

/** A mean ΔE00 beyond this is seldom left by a chart that was read right: only then is it worth the time to ask. */
const poor = 4

/** The match is poor, or does nothing but put the channels in order. */
function looksMisread({ summary, fit, problem }: Matched): boolean {
  if (summary.after.mean > poor) return true
  const back = invert3(problem.declared)
  return back !== undefined && channelOrder(multiply3(back, joinAffine(fit.model).B)) !== undefined
}
