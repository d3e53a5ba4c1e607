import { checkOptions, integerFrom, type OptionChecks, oneOf } from '../checkOptions.ts'
import { type Primaries, resolvePrimaries } from '../colour/primaries.ts'
import { viewing } from '../colour/viewing.ts'
import { ln } from '../elementary/ln.ts'
import { IsochipError } from '../errors.ts'
import { fitKind } from '../fit/fitKind.ts'
import { type FitPatchesOptions, fitPatchesChecks, samplesOf } from '../fit/fitPatches.ts'
import { linearFit } from '../fit/linearFit.ts'
import { perceptualResiduals } from '../fit/perceptualResiduals.ts'
import { identity3, type Vec3 } from '../linear/mat3.ts'
import type { Intervals } from '../match/result.ts'
import { matchProblem } from '../problem/matchProblem.ts'
import { quantile } from '../quantile.ts'
import { seededRandom } from '../random.ts'
import { levenbergMarquardt } from '../solver/levenbergMarquardt.ts'
import { parameterList } from './covariance.ts'
import { shape } from './intervals.ts'

export interface BootstrapOptions extends FitPatchesOptions {
  readonly model?: 'gain' | 'lift-gain' | 'matrix' | 'lift-gain-matrix'
  /** Fits; default 500. */
  readonly count?: number
  /** Default 1. The same seed gives the same intervals. */
  readonly seed?: number
}

const bootstrapChecks: OptionChecks<BootstrapOptions> = {
  ...fitPatchesChecks,
  model: oneOf(['gain', 'lift-gain', 'matrix', 'lift-gain-matrix']),
  count: integerFrom(2),
  seed: integerFrom(Number.MIN_SAFE_INTEGER),
}

/**
 * 95 % intervals of lift, gain and matrix by refitting: the 2.5 and 97.5 percentiles over fits whose patches carry
 * random weights (exponential with mean 1: the Bayesian bootstrap of D. B. Rubin, Ann. Statist. 9 (1981) 130–134).
 * Unlike drawing patches with replacement it never loses so many that the model cannot be fitted. An answer without
 * linearisation, to hold against the analytic intervals of `matchCamera`.
 *
 * @param source linear light in the camera's primaries, one per patch. @param target linear light in the working
 * primaries, one per patch.
 * @throws IsochipError `readings-invalid`, `too-few-patches`, `rank-deficient`, `usage`
 */
export function bootstrapIntervals(
  source: readonly Vec3[],
  target: readonly Vec3[],
  options: BootstrapOptions = {},
): Intervals {
  const {
    count = 500,
    seed = 1,
    model = 'lift-gain-matrix',
    objective = 'perceptual',
    view = 'scene',
  } = options
  checkOptions(options, bootstrapChecks)
  const working: Primaries = options.working ?? resolvePrimaries('bt709')
  const problem = matchProblem(samplesOf(source, target, options.weights), {
    declared: options.declared ?? identity3,
    viewing: viewing(working, view),
    objective,
  })
  const fit = fitKind(model, problem)
  const random = seededRandom(seed)
  const draws: number[][] = []
  for (let round = 0; round < count; round++) {
    const drawn = problem.reweighted(problem.samples.weight.map((w) => -w * ln(random())))
    const theta =
      objective === 'linear'
        ? linearFit(fit.design, drawn.samples).theta
        : levenbergMarquardt(perceptualResiduals(drawn, fit.design), fit.theta, {
            maxIterations: 30,
            costTolerance: 1e-8,
          }).theta
    const drawnModel = fit.design.toModel(theta)
    if (drawnModel !== undefined) draws.push(parameterList(drawnModel))
  }
  if (draws.length < 2 || draws.length < 0.9 * count) {
    throw new IsochipError(
      'rank-deficient',
      `${draws.length} of ${count} refits gave a match, expected nine of ten`,
      {
        hint: 'too few independent patches for the model: use a simpler one, or more patches (and a count of 2 or more)',
      },
    )
  }
  const list = parameterList(fit.model).map((_, i) => {
    const sorted = draws.map((draw) => draw[i]!).sort((a, b) => a - b)
    const mean = sorted.reduce((sum, value) => sum + value, 0) / sorted.length
    const square = sorted.reduce((sum, value) => sum + (value - mean) ** 2, 0)
    return {
      standardError: Math.sqrt(square / Math.max(sorted.length - 1, 1)),
      low: quantile(sorted, 0.025),
      high: quantile(sorted, 0.975),
    }
  })
  return shape(list)
}
