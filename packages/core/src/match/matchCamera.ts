import { describeOnSet } from '../advise/onSet.ts'
import type { Chart } from '../chart/chart.ts'
import { checkOptions } from '../checkOptions.ts'
import { deltaE76, itpDistance, itpFromXyz65 } from '../colour/deltaE.ts'
import { deltaE00 } from '../colour/deltaE00.ts'
import type { Lab65 } from '../colour/lab.ts'
import { type Primaries, primariesConversion, rgbToXyz } from '../colour/primaries.ts'
import { labSeenBy, viewing } from '../colour/viewing.ts'
import { rgbToXyz65 } from '../colour/working.ts'
import { type CorrectedChoice, correctCurve } from '../curve/correctCurve.ts'
import { doubtCurve } from '../curve/doubtCurve.ts'
import { doubtWarning } from '../curve/doubtWarning.ts'
import { diagnose } from '../diagnose/diagnose.ts'
import { evened, factorsByName, type LightField, lightField } from '../diagnose/evenness.ts'
import { noiseAmplification } from '../diagnose/noiseAmplification.ts'
import { summarise } from '../diagnose/summary.ts'
import type { Encoding } from '../encoding/encoding.ts'
import { isIsochipError, type Warning } from '../errors.ts'
import { type Fit, fitKind } from '../fit/fitKind.ts'
import { apply3, invert3, type Mat3, multiply3, type Vec3 } from '../linear/mat3.ts'
import { channelOrder } from '../misread/channelOrder.ts'
import { misreadChart, misreadError, misreadWarning } from '../misread/misreadChart.ts'
import type { Misreading } from '../misread/misreading.ts'
import { applyModel, type MatchModel } from '../model/model.ts'
import { joinAffine } from '../model/splitAffine.ts'
import { once } from '../once.ts'
import { expectedDifference } from '../prior/expectedDifference.ts'
import { type MatchProblem, type Measure, matchProblem } from '../problem/matchProblem.ts'
import type { Readings } from '../readings.ts'
import { type Prepared, prepareSamples } from '../samples/prepareSamples.ts'
import type { Choice } from '../select/choice.ts'
import { chooseKind } from '../select/chooseKind.ts'
import { leaveOneOut } from '../select/leaveOneOut.ts'
import type { Target } from '../target/target.ts'
import { type FitOptions, fitOptionChecks } from './options.ts'
import type { FittedMatch, PatchResult, Summaries } from './result.ts'

/** What one camera says of a chart, and where it is to go. */
export interface MatchInput {
  /** Which patches there are, where, and what they are worth. */
  readonly chart: Chart
  /** Code values of the patches, as fractions of the full range; patches may be missing. */
  readonly readings: Readings
  /** How the camera recorded: what turns code values into its linear light. */
  readonly encoding: Encoding
  /** By patch: linear light in `working`. */
  readonly target: Target
  /** The primaries in which the match delivers linear light. */
  readonly working: Primaries
}

/**
 * Fit one camera in one setup to its target.
 *
 * Patches that clip or sit in the noise are left out and named; those that do not fit the others are down-weighted
 * and named (`robust: false` leaves them be). Everything that is not an error of the input but should be known comes
 * as a warning.
 *
 * @returns The model takes linear light in the camera's own primaries, 1 for a perfect diffuse white, to linear light in
 * `working`; it does not clip. Colour differences are ΔE00 (kL = kC = kH = 1) unless the field says otherwise.
 * @throws IsochipError `too-few-patches`, `rank-deficient`, `clipped`, `readings-invalid`, `patch-unknown`,
 * `patch-doubled`, `usage`
 */
export function matchCamera(input: MatchInput, options: FitOptions = {}): FittedMatch {
  checkOptions(options, fitOptionChecks)
  const { chart, encoding, target, working } = input
  const { model: requested = 'lift-gain-matrix', objective = 'perceptual', view = 'scene' } = options
  const declared = primariesConversion(encoding.primaries, working)
  const measure: Measure = { declared, viewing: viewing(working, view), objective }
  const { curve = 'declared' } = options
  const { prepared, choice, field, divided, corrected } =
    curve === 'declared'
      ? { ...fitDeclared(input, options, measure), corrected: undefined }
      : fitCorrected(curve, input, options, measure)
  const factors = divided && field !== undefined ? factorsByName(chart, field) : undefined
  const misread = misreadOf(input, prepared, measure)
  const { problem, fit } = choice
  const balanced = balance(problem, fit)
  const left = choice.leaveOneOut ?? leaveOneOut(fit, problem)
  const patches = patchResults(prepared, problem, working, target, { fit, balanced, left, factors })
  const used = patches.filter((patch) => patch.excluded === undefined)
  const summary = summaries(used)
  const diagnosis = diagnose({
    fit,
    problem,
    covariance: choice.covariance,
    prepared,
    field,
    divided,
    candidates: choice.candidates,
    noiseAmplification: noiseAmplification(fit.model, rgbToXyz(working)[1]),
  })
  const expected = expectedDifference(fit.model, problem, choice.informed, summary.leaveOneOut?.mean)
  const understood = looksMisread(summary, fit, declared) ? misread() : undefined
  const doubt =
    curve !== 'declared' || objective !== 'perceptual' || understood !== undefined
      ? undefined
      : doubtCurve({
          ...input,
          options,
          prepared,
          problem,
          leaveOneOut: summary.leaveOneOut?.mean ?? 0,
        })
  const warnings: Warning[] = [
    ...(doubt === undefined ? [] : [doubtWarning(encoding, doubt)]),
    ...(understood === undefined ? [] : [misreadWarning(understood)]),
    ...target.warnings,
    ...prepared.warnings,
    ...(corrected?.warnings ?? []),
    ...choice.warnings,
    ...outlierWarnings(prepared, problem),
    ...diagnosis.warnings,
    ...trustWarnings(summary, fit, used.length),
  ]
  return {
    kind: 'fitted',
    model: fit.model,
    requested,
    declared,
    view,
    patches,
    summary,
    diagnosis: { ...diagnosis.diagnosis, ...(expected === undefined ? {} : { expected }) },
    ...(corrected === undefined ? {} : { curve: corrected.curve }),
    ...(doubt === undefined ? {} : { encodingDoubt: doubt }),
    onSet: describeOnSet(fit.model, declared, working),
    warnings,
  }
}

/** What the chart was misread as, looked for once, and only when asked. */
const misreadOf = (
  { chart, target, working }: MatchInput,
  { lights }: Prepared,
  measure: Measure,
): (() => Misreading | undefined) => once(() => misreadChart({ chart, lights, target, working, measure }))

/** Where patches carry no match, a chart that was misread is the better thing to say. */
function orMisread<T>(misread: () => Misreading | undefined, choose: () => T): T {
  try {
    return choose()
  } catch (error) {
    const found = isIsochipError(error) ? misread() : undefined
    throw found === undefined ? error : misreadError(found, error)
  }
}

/** A mean ΔE00 beyond this is seldom left by a chart that was read right: only then is it worth the time to ask. */
const poor = 4

/** The match is poor, or does nothing but put the channels in order. */
function looksMisread(summary: Summaries, { model }: Fit, declared: Mat3): boolean {
  if (summary.after.mean > poor) return true
  const back = invert3(declared)
  return back !== undefined && channelOrder(multiply3(back, joinAffine(model).B)) !== undefined
}

export interface Fitted {
  readonly prepared: Prepared
  readonly choice: Choice
  readonly field: LightField | undefined
  /** Was the field taken out of the samples? */
  readonly divided: boolean
}

/** The match by the curve as it is declared. */
export function fitDeclared(input: MatchInput, options: FitOptions, measure: Measure): Fitted {
  const { chart, readings, encoding, target } = input
  const { model = 'lift-gain-matrix', robust = true, evenness } = options
  const prepared = prepareSamples(chart, readings, encoding, target, options)
  const names = namesOf(prepared)
  const asShot = orMisread(misreadOf(input, prepared, measure), () =>
    chooseKind(model, matchProblem(prepared.samples, measure), robust),
  )
  const field = evenness === 'off' ? undefined : lightField(chart, names, asShot.fit, asShot.problem)
  // A field that is no more than its own uncertainty is not divided out: that would only fit it to the noise.
  const divided = evenness === 'divide' && field !== undefined && field.range > 2 * field.standardError
  const choice = divided
    ? chooseKind(model, matchProblem(evened(chart, names, prepared.samples, field), measure), robust)
    : asShot
  return { prepared, choice, field, divided }
}

/** The match with the curve and the light over the chart fitted along. */
function fitCorrected(
  curve: 'corrected' | 'measured',
  input: MatchInput,
  options: FitOptions,
  measure: Measure,
): Fitted & { readonly corrected: CorrectedChoice } {
  const corrected = correctCurve(curve, input, options, measure)
  const { prepared, choice, field } = corrected
  if (field !== undefined || options.evenness === 'off')
    return { prepared, choice, field, divided: field !== undefined, corrected }
  const stays = lightField(input.chart, namesOf(prepared), choice.fit, choice.problem)
  return { prepared, choice, field: stays, divided: false, corrected }
}

const namesOf = ({ places, lights }: Prepared): string[] => places.map((place) => lights[place]!.patch)

/** Lift and gain alone, or gain alone where the patches do not carry the lift. */
function balance(problem: MatchProblem, fit: Fit): MatchModel {
  if (fit.kind === 'gain' || fit.kind === 'lift-gain') return fit.model
  try {
    return fitKind('lift-gain', problem).model
  } catch (error) {
    if (!isIsochipError(error)) throw error
    return fitKind('gain', problem).model
  }
}

interface Stage {
  readonly fit: Fit
  readonly balanced: MatchModel
  readonly left: readonly (number | undefined)[]
  /** Where uneven light is divided out: by patch, the factor on its light as shot. */
  readonly factors: ReadonlyMap<string, number> | undefined
}

function patchResults(
  prepared: Prepared,
  problem: MatchProblem,
  working: Primaries,
  target: Target,
  { fit, balanced, left, factors }: Stage,
): PatchResult[] {
  const toXyz65 = rgbToXyz65(working)
  const lab = labSeenBy(problem.viewing)
  const seen = (colour: Vec3) => ({ lab: lab(colour), itp: itpFromXyz65(apply3(toXyz65, colour)) })
  const sampleOf = new Map(prepared.places.map((place, sample) => [place, sample]))
  return prepared.lights.flatMap(({ patch, light }, place) => {
    const aim = target.light.get(patch)
    if (aim === undefined) return []
    const source = apply3(problem.declared, light)
    const factor = factors?.get(patch) ?? 1
    const even: Vec3 = [factor * light[0], factor * light[1], factor * light[2]]
    const matched = applyModel(fit.model, even)
    const wanted = seen(aim)
    const before = seen(source)
    const between = seen(applyModel(balanced, even))
    const after = seen(matched)
    const of = (measure: (colour: Seen, wanted: Seen) => number) => ({
      before: measure(before, wanted),
      balanced: measure(between, wanted),
      after: measure(after, wanted),
    })
    const sample = sampleOf.get(place)
    const excluded = prepared.excluded.get(place)
    const alone = sample === undefined ? undefined : left[sample]
    return [
      {
        patch,
        source,
        target: aim,
        matched,
        dE00: of((a, b) => deltaE00(a.lab, b.lab)),
        dE76: of((a, b) => deltaE76(a.lab, b.lab)),
        dEITP: of((a, b) => itpDistance(a.itp, b.itp)),
        ...(alone === undefined ? {} : { leaveOneOut: alone }),
        weight: sample === undefined ? 0 : problem.samples.weight[sample]!,
        ...(excluded === undefined ? {} : { excluded }),
      },
    ]
  })
}

/** A colour in the spaces in which differences are told. */
interface Seen {
  readonly lab: Lab65
  readonly itp: Vec3
}

function summaries(used: readonly PatchResult[]): Summaries {
  const stage = (of: (patch: PatchResult) => number) =>
    summarise(used.map((patch) => ({ patch: patch.patch, dE00: of(patch) })))
  const alone = used.filter((patch) => patch.leaveOneOut !== undefined)
  return {
    before: stage((patch) => patch.dE00.before),
    balanced: stage((patch) => patch.dE00.balanced),
    after: stage((patch) => patch.dE00.after),
    ...(alone.length === 0
      ? {}
      : { leaveOneOut: summarise(alone.map((patch) => ({ patch: patch.patch, dE00: patch.leaveOneOut! }))) }),
  }
}

function outlierWarnings(prepared: Prepared, { samples }: MatchProblem): Warning[] {
  return prepared.places.flatMap((place, sample) => {
    const asked = prepared.samples.weight[sample]!
    if (samples.weight[sample] === asked) return []
    const { patch } = prepared.lights[place]!
    return [
      {
        code: 'patch-outlier',
        message: `patch "${patch}" is an outlier and down-weighted: is there a reflection, a shadow or dirt on it, or are two patches swapped?`,
        place: { patch },
      },
    ]
  })
}

function trustWarnings(summary: Summaries, fit: Fit, used: number): Warning[] {
  const warnings: Warning[] = []
  if (!fit.converged) {
    warnings.push({ code: 'not-converged', message: `the fit stopped before its end: ${fit.stopped}` })
  }
  if (used < fit.design.columns + 3) {
    warnings.push({
      code: 'few-patches',
      message: `${used} patches are hardly more than the ${fit.design.columns} that the model ${fit.kind} needs at least: the match is worse than its residuals look`,
    })
  }
  if (fit.prior !== undefined && fit.model.rootPolynomial === undefined) {
    warnings.push({
      code: 'drawn-to-levels',
      message: `too few independent patches for the model ${fit.kind}: its matrix is regularised towards lift and gain with the declared primaries`,
    })
  }
  const { leaveOneOut: alone, after } = summary
  if (alone !== undefined && alone.mean > 2 * after.mean && alone.mean - after.mean > 0.3) {
    warnings.push({
      code: 'overfitted',
      message: `patches that the fit has not seen come out at mean ΔE00 ${alone.mean.toFixed(2)}, those it has seen at ${after.mean.toFixed(2)}: a simpler model, or more patches, would be safer`,
    })
  }
  return warnings
}
