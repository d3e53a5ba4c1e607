import { anyNumber, checkOptions, listOf, numberFrom, type OptionChecks, oneOf } from '../checkOptions.ts'
import { type Primaries, primariesCheck, resolvePrimaries } from '../colour/primaries.ts'
import { viewCheck, viewing } from '../colour/viewing.ts'
import { IsochipError } from '../errors.ts'
import { identity3, type Mat3, type Vec3 } from '../linear/mat3.ts'
import { objectiveCheck } from '../match/options.ts'
import type { MatchModel } from '../model/model.ts'
import { type ModelKind, modelKinds } from '../model/modelKind.ts'
import { matchProblem } from '../problem/matchProblem.ts'
import type { Samples } from '../samples/samples.ts'
import { type Fit, fitKind } from './fitKind.ts'

export interface FitPatchesOptions {
  /** Default `lift-gain-matrix`. */
  readonly model?: ModelKind
  /** Default `perceptual`. */
  readonly objective?: 'linear' | 'perceptual'
  /** Default `scene`. */
  readonly view?: 'scene' | 'display'
  /** Primaries of `target`; default BT.709. */
  readonly working?: Primaries
  /** Primaries of `source` → working, for the kinds without a matrix of their own; default the identity. */
  readonly declared?: Mat3
  /** Weight of each patch's squared residual; default 1. */
  readonly weights?: readonly number[]
}

export const fitPatchesChecks: OptionChecks<FitPatchesOptions> = {
  model: oneOf(modelKinds),
  objective: objectiveCheck,
  view: viewCheck,
  working: primariesCheck,
  declared: listOf(listOf(anyNumber, 3), 3),
  weights: listOf(numberFrom(0)),
}

/** The bare fit: no outliers looked for, nothing left out, no diagnosis. */
export interface PatchFit {
  readonly model: MatchModel
  /** Σ weight · residual²: ΔE00² for the perceptual objective, linear light squared for the linear one. */
  readonly cost: number
  readonly iterations: number
  readonly converged: boolean
  readonly stopped: string
  readonly condition: number
}

/**
 * The fit alone, for those who bring their own linear light and do their own judging; `matchCamera` is this with
 * everything around it.
 *
 * @param source linear light in the camera's primaries, one per patch. @param target linear light in the working
 * primaries, one per patch.
 * @throws IsochipError `readings-invalid`, `too-few-patches`, `rank-deficient`, `usage`
 */
export function fitPatches(
  source: readonly Vec3[],
  target: readonly Vec3[],
  options: FitPatchesOptions = {},
): PatchFit {
  const { model = 'lift-gain-matrix', objective = 'perceptual', view = 'scene', weights } = options
  checkOptions(options, fitPatchesChecks)
  const fit: Fit = fitKind(
    model,
    matchProblem(samplesOf(source, target, weights), {
      declared: options.declared ?? identity3,
      viewing: viewing(options.working ?? resolvePrimaries('bt709'), view),
      objective,
    }),
  )
  const { cost, iterations, converged, stopped, condition } = fit
  return { model: fit.model, cost, iterations, converged, stopped, condition }
}

/** @throws IsochipError `readings-invalid` for lists of unequal length or numbers that are not finite */
export function samplesOf(
  source: readonly Vec3[],
  target: readonly Vec3[],
  weights: readonly number[] = source.map(() => 1),
): Samples {
  if (target.length !== source.length || weights.length !== source.length) {
    throw new IsochipError(
      'readings-invalid',
      `${source.length} patches of the camera, ${target.length} of the target, ${weights.length} weights: expected as many of each`,
    )
  }
  const flat = (values: readonly Vec3[]) => {
    const out = new Float64Array(3 * values.length)
    for (let i = 0; i < out.length; i++) out[i] = values[Math.floor(i / 3)]![i % 3]!
    return out
  }
  const samples: Samples = {
    count: source.length,
    source: flat(source),
    target: flat(target),
    weight: Float64Array.from(weights),
    sourceError: new Float64Array(3 * source.length),
    targetError: new Float64Array(3 * source.length),
  }
  if (![samples.source, samples.target].every((values) => values.every(Number.isFinite))) {
    throw new IsochipError('readings-invalid', 'a patch has light that is not finite')
  }
  if (!samples.weight.every((weight) => weight >= 0 && Number.isFinite(weight))) {
    throw new IsochipError('readings-invalid', `weights are ${weights.join(', ')}, expected zero or more`)
  }
  return samples
}
