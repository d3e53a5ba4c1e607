import type { Chart } from '../chart/chart.ts'
import { type Primaries, primariesConversion } from '../colour/primaries.ts'
import {
  decodeRgb,
  type Encoding,
  resolveEncoding,
  type TransferSpec,
  transferNames,
} from '../encoding/encoding.ts'
import { fractionFromNominal, nominalFromFraction } from '../encoding/range.ts'
import { IsochipError } from '../errors.ts'
import type { FitContext } from '../fit/fitContext.ts'
import { fitKind, problemOf } from '../fit/fitKind.ts'
import { residualNorms } from '../fit/residualNorms.ts'
import type { Vec3 } from '../linear/mat3.ts'
import type { FitOptions } from '../match/options.ts'
import type { EncodingDoubt } from '../match/result.ts'
import type { Readings } from '../readings.ts'
import type { Prepared } from '../samples/prepareSamples.ts'
import { reweighted, type Samples } from '../samples/samples.ts'
import type { Target } from '../target/target.ts'
import { correctCurve } from './correctCurve.ts'
import { curveTest } from './curveTest.ts'

export interface DoubtInput {
  readonly chart: Chart
  readonly readings: Readings
  readonly encoding: Encoding
  readonly target: Target
  readonly working: Primaries
  readonly options: FitOptions
  readonly context: FitContext
  readonly prepared: Prepared
  /** Weights of the samples, outliers' taken down. */
  readonly weight: Float64Array
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
  const { chart, prepared, context, weight, leaveOneOut } = input
  const taking = weight.reduce((sum, w) => sum + (w > 0 ? 1 : 0), 0)
  if (taking < fewestPatches || !(leaveOneOut > 0)) return undefined
  const samples = reweighted(prepared.samples, weight)
  const names = prepared.places.map((place) => prepared.lights[place]!.patch)
  try {
    const fit = fitKind('lift-gain-matrix', samples, context)
    const statistic = curveTest({ chart, names, samples, context }, fit.theta)
    if (!(statistic > beyondChance)) return undefined
    const remedies = remediesFor(input)
    // Root terms or a measured curve that are better are no evidence of a wrong one.
    const like = remedies.find(({ curve, model }) => curve === 'corrected' && model === 'lift-gain-matrix')
    if (like === undefined || !(like.leaveOneOut <= clearlyBetter * leaveOneOut)) return undefined
    const declared = meanResidual(samples, context)
    const alternatives = otherEncodings(input, samples)
      .filter(({ mean }) => mean < worthNaming * declared)
      .sort((a, b) => a.mean - b.mean)
    const named = alternatives.filter(({ mean }) => mean <= aboutAsGood * alternatives[0]!.mean)
    return {
      statistic,
      declared: { mean: declared, leaveOneOut },
      alternatives: named.slice(0, mostNamed),
      remedies,
    }
  } catch (error) {
    // Patches that carry no matrix say nothing of the curve.
    if (error instanceof IsochipError) return undefined
    throw error
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
        input.context,
      )
      const counted = (choice.leaveOneOut ?? []).filter((value) => value !== undefined)
      const mean = counted.reduce((sum, value) => sum + value, 0) / counted.length
      if (found.every((other) => mean < other.leaveOneOut)) found.push({ curve, model, leaveOneOut: mean })
    } catch (error) {
      if (!(error instanceof IsochipError)) throw error
    }
  }
  return found
}

/** Viewers' gammas: common practice, no source. */
const powers = [1.8, 2, 2.2, 2.4, 2.6]
/** Where a narrow range has its ends hardly depends on the bits. */
const bits = 10

interface Other {
  readonly encoding: { readonly transfer: TransferSpec; readonly range: 'full' | 'narrow' }
  readonly mean: number
}

/** What the match would leave if the recording were something else. */
function otherEncodings(
  { encoding, readings, context, working, prepared }: DoubtInput,
  samples: Samples,
): Other[] {
  const { transfer, primaries, range } = encoding.spec
  const transfers: TransferSpec[] = [
    transfer,
    ...transferNames.filter((name) => name !== transfer),
    ...powers.map((power) => ({ power })),
  ]
  const byName = new Map(readings.patches.map((one) => [one.patch, one.rgb]))
  const codes = prepared.places.map((place) => byName.get(prepared.lights[place]!.patch)!)
  const others: Other[] = []
  for (const other of transfers) {
    for (const otherRange of ['full', 'narrow'] as const) {
      if (other === transfer && otherRange === range) continue
      const own = resolveEncoding({ transfer: other, primaries, range: otherRange })
      const light = codes.flatMap((code) => [
        ...decodeRgb(own, otherRange === range ? code : toRange(code, range, otherRange)),
      ])
      if (!light.every(Number.isFinite)) continue
      const declared = primariesConversion(own.primaries, working)
      try {
        const mean = meanResidual({ ...samples, source: Float64Array.from(light) }, { ...context, declared })
        others.push({ encoding: { transfer: other, range: otherRange }, mean })
      } catch (error) {
        if (!(error instanceof IsochipError)) throw error
      }
    }
  }
  return others
}

function toRange(code: Vec3, from: 'full' | 'narrow', to: 'full' | 'narrow'): Vec3 {
  const one = (c: number) => nominalFromFraction(fractionFromNominal(c, from, bits), to, bits)
  return [one(code[0]), one(code[1]), one(code[2])]
}

/** Mean ΔE00 of a lift-gain-matrix match. */
function meanResidual(samples: Samples, context: FitContext): number {
  const fit = fitKind('lift-gain-matrix', samples, context)
  const norms = residualNorms(problemOf(fit.design, samples, context), samples.weight, fit.theta)
  const counted = norms.filter((_, p) => samples.weight[p]! > 0)
  return counted.reduce((sum, value) => sum + value, 0) / counted.length
}
