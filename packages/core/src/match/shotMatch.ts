import { deltaE00 } from '../colour/deltaE00.ts'
import { primariesConversion } from '../colour/primaries.ts'
import { labSeenBy, viewing } from '../colour/viewing.ts'
import { doubtCurve } from '../curve/doubtCurve.ts'
import { summarise } from '../diagnose/summary.ts'
import { apply3, type Mat3, type Vec3 } from '../linear/mat3.ts'
import { applyModel } from '../model/model.ts'
import type { Measure } from '../problem/matchProblem.ts'
import { leaveOneOut } from '../select/leaveOneOut.ts'
import { fitDeclared, type MatchInput, matchCamera } from './matchCamera.ts'
import type { FitOptions } from './options.ts'
import type { EncodingDoubt, FittedMatch, PatchResult } from './result.ts'

/** What is asked of a shot before a camera is turned: which patches count, how far off it is, what a LUT would leave, is its curve right? */
export interface ShotMatch {
  /** Camera primaries → working primaries. */
  readonly declared: Mat3
  readonly view: FittedMatch['view']
  readonly patches: readonly Pick<PatchResult, 'patch' | 'excluded' | 'weight'>[]
  readonly summary: { readonly [stage in 'before' | 'after']: { readonly mean: number } }
  readonly encodingDoubt?: EncodingDoubt
}

/**
 * The match of a shot without its diagnosis, which takes ten times as long and which nobody waits for at a camera that is about to
 * be turned. The figures are those of `matchCamera`.
 *
 * @throws IsochipError as `matchCamera` does
 */
export function shotMatch(input: MatchInput, options: FitOptions = {}): ShotMatch {
  const { encoding, working, target } = input
  const { curve = 'declared', objective = 'perceptual', evenness, view = 'scene' } = options
  // What bends the curve or divides the light out is fitted together with the match.
  if (curve !== 'declared' || evenness === 'divide') return matchCamera(input, options)
  const declared = primariesConversion(encoding.primaries, working)
  const measure: Measure = { declared, viewing: viewing(working, view), objective }
  const { prepared, choice } = fitDeclared(input, { ...options, evenness: 'off' }, measure)
  const { problem, fit } = choice
  const left = (choice.leaveOneOut ?? leaveOneOut(fit, problem)).filter((value) => value !== undefined)
  const lab = labSeenBy(problem.viewing)
  const stage = (made: (light: Vec3) => Vec3) =>
    summarise(
      prepared.places.map((place) => {
        const { patch, light } = prepared.lights[place]!
        return { patch, dE00: deltaE00(lab(made(light)), lab(target.light.get(patch)!)) }
      }),
    )
  const doubt =
    objective !== 'perceptual'
      ? undefined
      : doubtCurve({
          ...input,
          options,
          prepared,
          problem,
          leaveOneOut: left.reduce((sum, value) => sum + value, 0) / Math.max(left.length, 1),
        })
  const sampleOf = new Map(prepared.places.map((place, sample) => [place, sample]))
  return {
    declared,
    view,
    patches: prepared.lights.flatMap(({ patch }, place) => {
      if (!target.light.has(patch)) return []
      const sample = sampleOf.get(place)
      const excluded = prepared.excluded.get(place)
      const weight = sample === undefined ? 0 : problem.samples.weight[sample]!
      return [{ patch, weight, ...(excluded === undefined ? {} : { excluded }) }]
    }),
    summary: {
      before: stage((light) => apply3(declared, light)),
      after: stage((light) => applyModel(fit.model, light)),
    },
    ...(doubt === undefined ? {} : { encodingDoubt: doubt }),
  }
}
