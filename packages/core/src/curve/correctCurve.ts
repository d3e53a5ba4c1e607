import { covarianceOf } from '../diagnose/covariance.ts'
import type { LightField } from '../diagnose/evenness.ts'
import { type Encoding, resolveEncoding } from '../encoding/encoding.ts'
import { IsochipError, isIsochipError, type Warning } from '../errors.ts'
import { type Fit, fitKind } from '../fit/fitKind.ts'
import { perceptualResiduals } from '../fit/perceptualResiduals.ts'
import type { Vec3 } from '../linear/mat3.ts'
import type { MatchInput } from '../match/matchInput.ts'
import type { FitOptions } from '../match/options.ts'
import type { CurveCorrection, CurveTerm } from '../match/result.ts'
import type { ModelKind } from '../model/modelKind.ts'
import { once } from '../once.ts'
import { type InformedFit, informedFit } from '../prior/informedFit.ts'
import { type MatchProblem, type Measure, matchProblem } from '../problem/matchProblem.ts'
import { type Prepared, prepareSamples } from '../samples/prepareSamples.ts'
import { withoutTrueBlack } from '../samples/samples.ts'
import { blend } from '../select/blend.ts'
import type { Choice } from '../select/choice.ts'
import { illPosedness } from '../select/illPosedness.ts'
import { informedKind, informedMatch } from '../select/informedMatch.ts'
import { settleOutliers } from '../select/settled.ts'
import { levenbergMarquardt } from '../solver/levenbergMarquardt.ts'
import { correctedEncoding } from './correctedEncoding.ts'
import { type Correction, correctLight } from './correction.ts'
import type { CurveInput } from './curveProblem.ts'
import { type CorrectionFit, fitCorrection } from './fitCorrection.ts'
import { measureTransfer } from './measureTransfer.ts'

/** A match whose curve was corrected along with it. */
export interface CorrectedChoice {
  readonly curve: CurveCorrection
  /** With the light that the corrected curve gives. */
  readonly prepared: Prepared
  readonly choice: Choice
  readonly field: LightField | undefined
  readonly warnings: readonly Warning[]
}

/**
 * Fits a camera with the curve corrected: the declared one, or for `measured` one that was measured on the grey scale.
 *
 * @throws IsochipError as the match alone would, and for `measured` `too-few-patches` without a grey scale
 */
export function correctCurve(
  kind: 'corrected' | 'measured',
  input: MatchInput,
  options: FitOptions,
  measure: Measure,
): CorrectedChoice {
  const { base, warnings } = kind === 'measured' ? measured(input) : { base: input.encoding, warnings: [] }
  const asRead = prepareSamples(input.chart, input.readings, base, input.target, options)
  const prepared = { ...asRead, samples: withoutTrueBlack(asRead.samples) }
  const names = prepared.places.map((place) => prepared.lights[place]!.patch)
  const problem = matchProblem(prepared.samples, measure)
  const uneven = options.evenness !== 'off'
  const chosen = chosenCorrection(
    options.model ?? 'lift-gain-matrix',
    { chart: input.chart, names, problem },
    uneven,
    options.robust ?? true,
  )
  const { correction, errors, field } = chosen.made
  const corrected = correctedPrepared(prepared, correction)
  const divided = field !== undefined && options.evenness !== 'report'
  return {
    curve: {
      kind,
      encoding: correctedEncoding(base, input.readings, correction).spec,
      middle: correction.middle,
      common: termsOf(correction.common, errors[0]!),
      channels: [
        termsOf(correction.channels[0], errors[1]!),
        termsOf(correction.channels[1], errors[2]!),
        termsOf(correction.channels[2], errors[3]!),
      ],
    },
    prepared: corrected,
    choice:
      divided || !uneven ? asChoice(chosen) : undivided(chosen, matchProblem(corrected.samples, measure)),
    field: divided ? field : undefined,
    warnings,
  }
}

function measured(input: MatchInput): { base: Encoding; warnings: readonly Warning[] } {
  const { chart, readings, target, working, encoding } = input
  const { primaries, spec } = encoding
  const { table, warnings } = measureTransfer({ chart, readings, target, working, primaries })
  const base = resolveEncoding({ transfer: { table }, primaries: spec.primaries, range: spec.range })
  return { base, warnings }
}

interface Chosen {
  readonly made: CorrectionFit
  readonly left: readonly (number | undefined)[]
  readonly informed?: number
  readonly candidates?: Choice['candidates']
  readonly warnings: readonly Warning[]
}

/** Root terms are taken where they leave this share of what the matrix leaves, or less, on patches that it has not seen. */
const worthMore = 0.98

function chosenCorrection(
  requested: ModelKind | 'auto',
  input: CurveInput,
  uneven: boolean,
  robust: boolean,
): Chosen {
  const of = (kind: ModelKind, problem = input.problem): Chosen => {
    const made = settled(kind, { ...input, problem }, uneven, robust)
    return { made, left: made.leaveOneOut(), warnings: [] }
  }
  if (requested !== 'auto') {
    const chosen = of(requested)
    const { fit, problem } = chosen.made
    const illPosed = illPosedness(fit, problem, () => covarianceOf(fit, problem))
    if (illPosed === undefined) return chosen
    throw new IsochipError(
      'rank-deficient',
      `the patches do not determine the model ${requested}: ${illPosed}`,
      {
        hint: 'are the patches nearly of one colour, or very noisy? use model lift-gain or gain, or auto',
      },
    )
  }
  let matrix: Chosen
  try {
    matrix = of('lift-gain-matrix')
  } catch (error) {
    if (!isIsochipError(error)) throw error
    return {
      ...of('lift-gain'),
      warnings: [
        {
          code: 'model-reduced',
          message: 'the patches carry no more than the model lift-gain: colour crosstalk is left as it is',
        },
      ],
    }
  }
  // Outliers are judged once, so that both kinds are compared on the same patches.
  const root = informedOf(
    fitCorrection(
      informedKind,
      {
        ...input,
        problem: input.problem.reweighted(matrix.made.problem.samples.weight),
      },
      uneven,
    ),
  )
  const both = [matrix, root].map(({ made, left }) => ({ kind: made.fit.kind, ...meanOf(left) }))
  const better = both[1]!.leaveOneOut <= worthMore * both[0]!.leaveOneOut
  return { ...(better ? root : matrix), candidates: both }
}

/** Of the match in a corrected curve so much is informed; and so the virtual patches count there. */
const informed = { share: 0.8, virtual: { patches: 60, belief: 0.3 } }

/** A match that also knows other materials, on light that is corrected. */
interface Informed {
  readonly fit: Fit
  readonly matrix: Fit
  readonly root: InformedFit
}

function informedOn(problem: MatchProblem): Informed | undefined {
  const matrix = fitKind('lift-gain-matrix', problem)
  const root = informedFit(informedKind, problem, matrix, informed.virtual)
  const fit = root && informedMatch(root, matrix, informed.share, problem)
  return fit && { fit, matrix, root }
}

/** The same to nearly the same samples, as far as it takes to judge by it. */
const informedNear = ({ matrix, root }: Informed) => {
  const closely = { maxIterations: 50, costTolerance: 1e-9 }
  return (problem: MatchProblem): Pick<Fit, 'design' | 'theta'> | undefined => {
    const own = problem.design('lift-gain-matrix')
    const { theta, cost } = levenbergMarquardt(perceptualResiduals(problem, own), matrix.theta, closely)
    const model = own.toModel(theta)
    if (model === undefined) return undefined
    const fit = informedFit(informedKind, problem, { theta, cost, model }, informed.virtual, root.theta)
    return fit && { design: problem.design(informedKind), theta: blend(fit.theta, theta, informed.share) }
  }
}

/** In place of a match with root terms drawn to the matrix, where the chart's spectra are known. */
function informedOf(made: CorrectionFit): Chosen {
  const found = informedOn(made.problem)
  return found === undefined
    ? { made, left: made.leaveOneOut(), warnings: [] }
    : {
        made: { ...made, fit: found.fit },
        left: made.leaveOneOut(informedNear(found)),
        informed: informed.share,
        warnings: [],
      }
}

/** With the outliers' weights taken down: they are looked for once the curve is right, since a wrong one makes some. */
function settled(kind: ModelKind, input: CurveInput, uneven: boolean, robust: boolean): CorrectionFit {
  const first = fitCorrection(kind, input, uneven)
  if (!robust) return first
  return settleOutliers(first, (factors) => {
    const weight = input.problem.samples.weight.map((w, p) => w * factors[p]!)
    return fitCorrection(kind, { ...input, problem: input.problem.reweighted(weight) }, uneven)
  })
}

function meanOf(left: readonly (number | undefined)[]): { leaveOneOut: number; standardError: number } {
  const values = left.filter((value) => value !== undefined)
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length
  const spread = values.reduce((sum, value) => sum + (value - mean) ** 2, 0)
  return {
    leaveOneOut: mean,
    standardError: Math.sqrt(spread / Math.max(values.length - 1, 1) / values.length),
  }
}

const asChoice = ({ made, left, informed, candidates, warnings }: Chosen): Choice => ({
  fit: made.fit,
  problem: made.problem,
  covariance: once(() => covarianceOf(made.fit, made.problem)),
  leaveOneOut: left,
  ...(informed === undefined ? {} : { informed }),
  ...(candidates === undefined ? {} : { candidates }),
  warnings,
})

/** The light was fitted along so that it does not pass for a curve, but is to stay in the readings. */
function undivided({ made, informed: share, candidates, warnings }: Chosen, problem: MatchProblem): Choice {
  const { kind } = made.fit
  const weighted = problem.reweighted(made.problem.samples.weight)
  const matrix = kind.startsWith('root') ? fitKind('lift-gain-matrix', weighted) : undefined
  const own = share === undefined ? undefined : informedOn(weighted)?.fit
  const fit = own ?? fitKind(kind, weighted, matrix)
  return {
    ...(own === undefined ? {} : { informed: share! }),
    fit,
    problem: weighted,
    covariance: once(() => covarianceOf(fit, weighted)),
    ...(candidates === undefined ? {} : { candidates }),
    warnings,
  }
}

function correctedPrepared(prepared: Prepared, correction: Correction): Prepared {
  const channel = (light: number, c: 0 | 1 | 2) => correctLight(correction, c, light)
  const ratio = (light: number, c: 0 | 1 | 2) => (light === 0 ? 1 : channel(light, c) / light)
  return {
    ...prepared,
    lights: prepared.lights.map((one) => ({
      ...one,
      light: map3(one.light, channel),
      standardError: map3(one.standardError, (error, c) => error * ratio(one.light[c], c)),
    })),
    samples: {
      ...prepared.samples,
      source: prepared.samples.source.map((light, i) => channel(light, (i % 3) as 0 | 1 | 2)),
      sourceError: prepared.samples.sourceError.map(
        (error, i) => error * ratio(prepared.samples.source[i]!, (i % 3) as 0 | 1 | 2),
      ),
    },
  }
}

const map3 = (v: Vec3, of: (value: number, c: 0 | 1 | 2) => number): Vec3 => [
  of(v[0], 0),
  of(v[1], 1),
  of(v[2], 2),
]

/** 95 % of a normal distribution. */
const quantile95 = 1.96

const termsOf = (values: readonly number[], errors: readonly number[]): CurveTerm[] =>
  values.map((value, k) => ({
    value,
    standardError: errors[k]!,
    low: value - quantile95 * errors[k]!,
    high: value + quantile95 * errors[k]!,
  }))
