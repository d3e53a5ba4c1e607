import { deltaE00 } from '../colour/deltaE00.ts'
import { primariesConversion } from '../colour/primaries.ts'
import { labSeenBy, viewing } from '../colour/viewing.ts'
import { summarise } from '../diagnose/summary.ts'
import { apply3, type Mat3, type Vec3 } from '../linear/mat3.ts'
import { type MisreadWarning, misreadWarning, saysMisread } from '../misread/misreadChart.ts'
import { applyModel } from '../model/model.ts'
import type { Measure } from '../problem/matchProblem.ts'
import { leaveOneOut } from '../select/leaveOneOut.ts'
import { fitDeclared } from './fitShot.ts'
import { judged } from './judged.ts'
import { matchCamera } from './matchCamera.ts'
import type { MatchInput } from './matchInput.ts'
import type { FitOptions } from './options.ts'
import { questioned } from './questioned.ts'
import type { EncodingDoubt, FittedMatch, PatchResult } from './result.ts'

/** What is asked of a shot before a camera is turned: which patches count, how far off it is, what a LUT would leave, is its curve right? */
export interface ShotMatch {
  /** Camera primaries → working primaries. */
  readonly declared: Mat3
  readonly view: FittedMatch['view']
  readonly patches: readonly Pick<PatchResult, 'patch' | 'excluded' | 'weight'>[]
  readonly summary: { readonly [stage in 'before' | 'after']: { readonly mean: number } }
  readonly encodingDoubt?: EncodingDoubt
  /** Where its chart, or the target's, was not read as it stands in the frame. */
  readonly misread?: MisreadWarning
}

/**
 * The match of a shot without its diagnosis, which takes ten times as long and which nobody waits for at a camera that is about to
 * be turned; nor is it worked out what another curve would leave, since the camera is to be set right. The figures are those of
 * `matchCamera`.
 *
 * @throws IsochipError as `matchCamera` does
 */
export function shotMatch(input: MatchInput, options: FitOptions = {}): ShotMatch {
  const { encoding, working, target } = input
  const { curve = 'declared', objective = 'perceptual', evenness, view = 'scene' } = options
  // What bends the curve or divides the light out is fitted together with the match.
  if (curve !== 'declared' || evenness === 'divide') {
    const match = matchCamera(input, options)
    const misread = match.warnings.find(saysMisread)
    return misread === undefined ? match : { ...match, misread }
  }
  const declared = primariesConversion(encoding.primaries, working)
  const measure: Measure = { declared, viewing: viewing(working, view), objective }
  const { prepared, choice } = fitDeclared(input, { ...options, evenness: 'off' }, measure)
  const { problem, fit } = choice
  const left = (choice.leaveOneOut ?? leaveOneOut(fit, problem)).filter((value) => value !== undefined)
  const patches = judged(prepared, problem, target)
  const lab = labSeenBy(problem.viewing)
  const stage = (made: (light: Vec3) => Vec3) =>
    summarise(
      patches
        .filter(({ excluded }) => excluded === undefined)
        .map(({ patch, light, aim }) => ({ patch, dE00: deltaE00(lab(made(light)), lab(aim)) })),
    )
  const summary = {
    before: stage((light) => apply3(declared, light)),
    after: stage((light) => applyModel(fit.model, light)),
    ...(left.length === 0
      ? {}
      : { leaveOneOut: { mean: left.reduce((sum, value) => sum + value, 0) / left.length } }),
  }
  const { misread, doubt } = questioned(
    input,
    options,
    { prepared, problem, fit, summary },
    { remedies: false },
  )
  return {
    declared,
    view,
    patches,
    summary,
    ...(misread === undefined ? {} : { misread: misreadWarning(misread) }),
    ...(doubt === undefined ? {} : { encodingDoubt: doubt }),
  }
}
