import { type Primaries, primariesConversion } from '../colour/primaries.ts'
import { decodeRgb, type Encoding, resolveEncoding, type TransferSpec } from '../encoding/encoding.ts'
import { fractionFromNominal, nominalFromFraction, type Range } from '../encoding/range.ts'
import { transferNames } from '../encoding/transferNames.ts'
import { isIsochipError } from '../errors.ts'
import { fitKind } from '../fit/fitKind.ts'
import { residualNorms } from '../fit/residualNorms.ts'
import { residualsOf } from '../fit/residualsOf.ts'
import type { Vec3 } from '../linear/mat3.ts'
import { type MatchProblem, type Measure, matchProblem } from '../problem/matchProblem.ts'
import type { Readings } from '../readings.ts'
import type { Prepared } from '../samples/prepareSamples.ts'
import { type Samples, withoutTrueBlack } from '../samples/samples.ts'

/** An encoding that was tried, and the mean ΔE00 that a lift-gain-matrix match leaves with it. */
export interface TriedEncoding {
  readonly encoding: { readonly transfer: TransferSpec; readonly range: Range }
  readonly mean: number
}

interface Input {
  /** As declared: its primaries and range are those of the readings. */
  readonly encoding: Encoding
  readonly readings: Readings
  readonly working: Primaries
  readonly measure: Measure
  readonly prepared: Prepared
  readonly samples: Samples
}

/** Viewers' gammas: common practice, no source. */
const powers = [1.8, 2, 2.2, 2.4, 2.6]
/** Where a narrow range has its ends hardly depends on the bits. */
const bits = 10

/** What a match would leave with the usual encodings, or with some: best first. */
export function tryEncodings(input: Input, some = usualEncodings(input.encoding)): TriedEncoding[] {
  const { encoding, readings, measure, working, prepared, samples } = input
  const { primaries, range } = encoding.spec
  const byName = new Map(readings.patches.map((one) => [one.patch, one.rgb]))
  const codes = prepared.places.map((place) => byName.get(prepared.lights[place]!.patch)!)
  const tried: TriedEncoding[] = []
  for (const { transfer, range: otherRange } of some) {
    const own = resolveEncoding({ transfer, primaries, range: otherRange })
    const light = codes.flatMap((code) => [
      ...decodeRgb(own, otherRange === range ? code : toRange(code, range, otherRange)),
    ])
    if (!light.every(Number.isFinite)) continue
    const declared = primariesConversion(own.primaries, working)
    try {
      const read = { ...withoutTrueBlack(samples), source: Float64Array.from(light) }
      const mean = meanResidual(matchProblem(read, { ...measure, declared }))
      tried.push({ encoding: { transfer, range: otherRange }, mean })
    } catch (error) {
      if (!isIsochipError(error)) throw error
    }
  }
  return tried.sort((a, b) => a.mean - b.mean)
}

/** The declared encoding, every standard curve and viewers' gammas, in both ranges. */
function usualEncodings({ spec: { transfer } }: Encoding): TriedEncoding['encoding'][] {
  const transfers: TransferSpec[] = [
    transfer,
    ...transferNames.filter((name) => name !== transfer),
    ...powers.map((power) => ({ power })),
  ]
  return transfers.flatMap((one) => (['full', 'narrow'] as const).map((range) => ({ transfer: one, range })))
}

function toRange(code: Vec3, from: Range, to: Range): Vec3 {
  const one = (c: number) => nominalFromFraction(fractionFromNominal(c, from, bits), to, bits)
  return [one(code[0]), one(code[1]), one(code[2])]
}

/** Mean ΔE00 of a lift-gain-matrix match. @throws IsochipError where the patches do not carry one */
export function meanResidual(problem: MatchProblem, fit = fitKind('lift-gain-matrix', problem)): number {
  const { samples, active } = problem
  const norms = residualNorms(residualsOf(problem, fit.design), samples.weight, fit.theta)
  return active.reduce((sum, p) => sum + norms[p]!, 0) / active.length
}
