import type { Chart } from '../chart/chart.ts'
import type { Primaries } from '../colour/primaries.ts'
import { type Encoding, resolveTransfer } from '../encoding/encoding.ts'
import type { Channel } from '../encoding/transfer.ts'
import { isIsochipError } from '../errors.ts'
import { fitKind } from '../fit/fitKind.ts'
import type { FitOptions } from '../match/options.ts'
import type { EncodingDoubt } from '../match/result.ts'
import { type MatchProblem, matchProblem } from '../problem/matchProblem.ts'
import type { Readings } from '../readings.ts'
import type { Prepared } from '../samples/prepareSamples.ts'
import { reweighted, type Samples } from '../samples/samples.ts'
import type { Target } from '../target/target.ts'
import { correctCurve } from './correctCurve.ts'
import { curveTest } from './curveTest.ts'
import { meanResidual, tryEncodings } from './tryEncodings.ts'

export interface DoubtInput {
  readonly chart: Chart
  readonly readings: Readings
  readonly encoding: Encoding
  readonly target: Target
  readonly working: Primaries
  readonly options: FitOptions
  readonly prepared: Prepared
  /** As matched, with the outliers' weights taken down. */
  readonly problem: MatchProblem
  /** Mean ΔE00 of the patches left out of the match as declared. */
  readonly leaveOneOut: number
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
/** Patches that carry a matrix, a correction, and uneven light. */
const fewestPatches = 15

/**
 * Is the declared encoding in doubt? First a quick test; where it speaks, the remedies are tried, each patch left out in
 * turn, and other encodings. `undefined` where there is no doubt, or nothing that would be clearly better.
 */
export function doubtCurve(input: DoubtInput): EncodingDoubt | undefined {
  const { chart, prepared, problem: matched, leaveOneOut, encoding } = input
  if (matched.active.length < fewestPatches || !(leaveOneOut > 0)) return undefined
  // The readings as shot: the light over the chart is a part of the test.
  const samples = withSteps(reweighted(prepared.samples, matched.samples.weight), input)
  const problem = matchProblem(samples, matched)
  const names = prepared.places.map((place) => prepared.lights[place]!.patch)
  try {
    const fit = fitKind('lift-gain-matrix', problem)
    const statistic = curveTest({ chart, names, problem }, fit.theta, beyondChance)
    if (!(statistic > beyondChance)) return undefined
    const remedies = remediesFor(input)
    // Root terms or a measured curve that are better are no evidence of a wrong one.
    const like = remedies.find(({ curve, model }) => curve === 'corrected' && model === 'lift-gain-matrix')
    if (like === undefined || !(like.leaveOneOut <= clearlyBetter * leaveOneOut)) return undefined
    const declared = meanResidual(problem)
    const alternatives = tryEncodings({ ...input, samples, measure: problem }).filter(
      ({ encoding: { transfer, range }, mean }) =>
        mean < worthNaming * declared &&
        !(transfer === encoding.spec.transfer && range === encoding.spec.range),
    )
    const named = alternatives.filter(({ mean }) => mean <= aboutAsGood * alternatives[0]!.mean)
    return {
      statistic,
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
    sourceError: samples.sourceError.map((error, i) => Math.hypot(error, steps[i]! / Math.sqrt(12))),
  }
}

/** What correcting the curve would come to, each patch left out in turn, and those that are better than the simpler ones. */
function remediesFor(input: DoubtInput): EncodingDoubt['remedies'] {
  const tried = [
    ['corrected', 'lift-gain-matrix'],
    ['corrected', 'root-polynomial-2'],
    ['measured', 'lift-gain-matrix'],
  ] as const
  const found: { curve: 'corrected' | 'measured'; model: (typeof tried)[number][1]; leaveOneOut: number }[] =
    []
  for (const [curve, model] of tried) {
    try {
      const { choice } = correctCurve(
        curve,
        input,
        { ...input.options, model, evenness: 'divide' },
        input.problem,
      )
      const counted = (choice.leaveOneOut ?? []).filter((value) => value !== undefined)
      const mean = counted.reduce((sum, value) => sum + value, 0) / counted.length
      if (found.every((other) => mean < other.leaveOneOut)) found.push({ curve, model, leaveOneOut: mean })
    } catch (error) {
      if (!isIsochipError(error)) throw error
    }
  }
  return found
}
