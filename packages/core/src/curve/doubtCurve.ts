import { hypot } from '../elementary/hypot.ts'
import { resolveTransfer } from '../encoding/encoding.ts'
import type { Channel } from '../encoding/transfer.ts'
import { isIsochipError } from '../errors.ts'
import { fitKind } from '../fit/fitKind.ts'
import type { Vec3 } from '../linear/mat3.ts'
import type { MatchInput } from '../match/matchInput.ts'
import type { FitOptions } from '../match/options.ts'
import type { EncodingDoubt } from '../match/result.ts'
import { type MatchProblem, matchProblem } from '../problem/matchProblem.ts'
import type { Prepared } from '../samples/prepareSamples.ts'
import { reweighted, type Samples, withoutTrueBlack } from '../samples/samples.ts'
import { correctCurve } from './correctCurve.ts'
import { curveTest } from './curveTest.ts'
import { meanResidual, tryEncodings } from './tryEncodings.ts'

export interface DoubtInput extends MatchInput {
  readonly options: FitOptions
  readonly prepared: Prepared
  /** As matched, with the outliers' weights taken down. */
  readonly problem: MatchProblem
  /** Mean ΔE00 of the patches left out of the match as declared. */
  readonly leaveOneOut: number
  /** Is it all the same what a corrected or a measured curve would leave? Then that is only worked out where the doubt hangs on it. */
  readonly withoutRemedies?: boolean
}

/** The test has to find this many times the most that right curves gave. */
const beyondChance = 1.5
/** With the same matrix, a correction has to leave this share, or less, of what is left of patches that it has not seen. */
const clearlyBetter = 0.85
/** Another curve is named where its residual is below this share of the declared one's … */
const worthNaming = 0.75
/** … and within this factor of the best one's. */
const aboutAsGood = 1.25
const mostNamed = 3
/** Where patches left out are off by no more than this, ΔE00, a remedy would gain what nobody sees: a quarter of what an eye does. */
const unseen = 0.25

/** Patches that carry a matrix, a correction, and uneven light. */
const fewestPatches = 15

/** Black is below no light where it is by so many standard errors, and by this share of white. */
const beyondNoise = 5
const leastBlack = 0.005

/**
 * What the darkest channel would see of no light at all, as a share of white, where that is beyond doubt less than none:
 * black is crushed, or full range is read as narrow. Flare only lifts. By the chart's spectra and what sensors are like,
 * whatever the target.
 */
function blackBelowNone(problem: MatchProblem, gain: Vec3): number | undefined {
  const pedestal = problem.evidence()?.pedestal
  if (pedestal === undefined) return undefined
  const black = Math.min(...pedestal.source.map((light, c) => light * gain[c]!))
  const error = pedestal.sourceError * gain[1]
  return black < -leastBlack && black < -beyondNoise * error ? black : undefined
}

/** Half as much again as the most that a thousand right curves gave: gains of log-likelihood, of dark tones crushed and lifted. */
const crushedFrom = 15
const liftedFrom = 10

/**
 * Do dark readings show a curve that is off near black, by the chart's spectra and what sensors are like? Whatever the match
 * makes of it: to that a toe is nearly a lift.
 */
function toeOfReadings(problem: MatchProblem): EncodingDoubt['toe'] {
  const of = (one: MatchProblem) => {
    const toe = one.evidence()?.toe() ?? 0
    if (toe > crushedFrom) return 'crushed'
    return toe < -liftedFrom ? 'lifted' : undefined
  }
  const found = of(problem)
  if (found === undefined) return undefined
  // A single patch that is off, a black with gloss on it, makes no toe.
  const { weight } = problem.samples
  const stays = problem.active.every(
    (p) => of(problem.reweighted(weight.map((w, q) => (q === p ? 0 : w)))) === found,
  )
  return stays ? found : undefined
}

/** Does the other range leave so much less that only the range can be wrong? */
function otherRangeFits(
  input: DoubtInput,
  samples: Samples,
  problem: MatchProblem,
  declared: number,
): boolean {
  const { transfer, range } = input.encoding.spec
  const other = range === 'full' ? 'narrow' : 'full'
  const [tried] = tryEncodings({ ...input, samples, measure: problem }, [{ transfer, range: other }])
  return tried !== undefined && tried.mean < worthNaming * declared
}

/**
 * Is the declared encoding in doubt? First quick tests: of the curve, of black, of a toe, of the range. Where one speaks, the
 * remedies are tried, each patch left out in turn, and other encodings. `undefined` where there is no doubt, or where only
 * the curve's test speaks and nothing would be clearly better.
 */
export function doubtCurve(input: DoubtInput): EncodingDoubt | undefined {
  const { chart, prepared, problem: matched, leaveOneOut, encoding } = input
  if (matched.active.length < fewestPatches || !(leaveOneOut > 0)) return undefined
  // The readings as shot: the light over the chart is a part of the test.
  // As the other encodings are tried: without the true black.
  const read = withoutTrueBlack(prepared.samples)
  const samples = withSteps(reweighted(read, matched.samples.weight), input)
  const problem = matchProblem(samples, matched)
  const names = prepared.places.map((place) => prepared.lights[place]!.patch)
  try {
    const fit = fitKind('lift-gain-matrix', problem)
    const statistic = curveTest({ chart, names, problem }, fit.theta, beyondChance)
    const declared = meanResidual(problem, fit)
    const black = blackBelowNone(matched, fit.model.gain)
    const toe = toeOfReadings(matched)
    const sure = black !== undefined || toe !== undefined || otherRangeFits(input, samples, problem, declared)
    if (!sure && !(statistic > beyondChance)) return undefined
    // Root terms or a measured curve that are better are no evidence of a wrong one.
    const worthTrying = leaveOneOut > unseen && !input.withoutRemedies
    const like = worthTrying || !sure ? remedy(input, 'corrected', 'lift-gain-matrix') : undefined
    if (!sure && (like === undefined || !(like.leaveOneOut <= clearlyBetter * leaveOneOut))) return undefined
    const remedies = worthTrying
      ? better(leaveOneOut, [
          like,
          remedy(input, 'corrected', 'auto'),
          remedy(input, 'measured', 'lift-gain-matrix'),
        ])
      : []
    const alternatives = tryEncodings({ ...input, samples, measure: problem }).filter(
      ({ encoding: { transfer, range }, mean }) =>
        mean < worthNaming * declared &&
        !(transfer === encoding.spec.transfer && range === encoding.spec.range),
    )
    const named = alternatives.filter(({ mean }) => mean <= aboutAsGood * alternatives[0]!.mean)
    return {
      statistic,
      ...(black === undefined ? {} : { black }),
      ...(toe === undefined ? {} : { toe }),
      declared: { mean: declared, leaveOneOut },
      alternatives: named.slice(0, mostNamed),
      remedies,
    }
  } catch (error) {
    // Patches that carry no matrix say nothing of the curve.
    if (isIsochipError(error)) return undefined
    throw error
  }
}

/**
 * Readings of a picture without noise stand on the steps of its code values. In a log curve of 8 bits a step is a
 * twentieth of the light: that is noise to a curve, and no evidence against it.
 */
function withSteps(samples: Samples, { readings, prepared, encoding }: DoubtInput): Samples {
  const onSteps = (top: number) =>
    readings.patches.every(({ rgb }) => rgb.every((v) => Math.abs(v * top - Math.round(v * top)) < 1e-3))
  const top = [255, 1023].find(onSteps)
  if (top === undefined) return samples
  const { decode } = resolveTransfer(encoding.spec.transfer)
  const byName = new Map(readings.patches.map(({ patch, rgb }) => [patch, rgb]))
  const steps = prepared.places.flatMap((place) =>
    byName
      .get(prepared.lights[place]!.patch)!
      .map((v, c) => Math.abs(decode(v + 0.5 / top, c as Channel) - decode(v - 0.5 / top, c as Channel))),
  )
  return {
    ...samples,
    sourceError: samples.sourceError.map((error, i) => hypot(error, steps[i]! / Math.sqrt(12))),
  }
}

type Remedy = EncodingDoubt['remedies'][number]

/** What a way to fit comes to, each patch left out in turn; `undefined` where it is refused. */
function remedy(input: DoubtInput, curve: Remedy['curve'], model: Remedy['model']): Remedy | undefined {
  try {
    const { choice } = correctCurve(
      curve,
      input,
      { ...input.options, model, evenness: 'divide' },
      input.problem,
    )
    const counted = (choice.leaveOneOut ?? []).filter((value) => value !== undefined)
    return { curve, model, leaveOneOut: counted.reduce((sum, value) => sum + value, 0) / counted.length }
  } catch (error) {
    if (isIsochipError(error)) return undefined
    throw error
  }
}

/** Those that are better than the declared curve and the simpler ones before them. */
function better(declared: number, remedies: readonly (Remedy | undefined)[]): Remedy[] {
  const found: Remedy[] = []
  for (const one of remedies) {
    if (one !== undefined && one.leaveOneOut < (found.at(-1)?.leaveOneOut ?? declared)) found.push(one)
  }
  return found
}
