import {
  type Encoding,
  fractionFromNominal,
  nominalFromFraction,
  resolveTransfer,
  type Transfer,
} from '@isochip/core'
import { type BatchCurve, exactCurve } from './batchCurve.ts'
import { PiecewisePolynomial } from './piecewisePolynomial.ts'

/** One curve a channel: red, green, blue. */
export type ChannelCurves = readonly [BatchCurve, BatchCurve, BatchCurve]

/** The curve of an encoding both ways, its range included. */
export interface CodeCurves {
  /** Fraction of the full code range → linear light. */
  readonly decode: ChannelCurves
  /** Linear light → fraction of the full code range. */
  readonly encode: ChannelCurves
}

/** What is worked out stays with the curve, because a show has few of them and hundreds of matches. 150 kB an encoding and range. */
const known = new WeakMap<Transfer, Map<string, CodeCurves>>()

/** @param bits per sample, 8…16: they set where narrow range has its black and its white. */
export function codeCurves({ spec, range }: Encoding, bits: number): CodeCurves {
  const transfer = resolveTransfer(spec.transfer)
  const ofTransfer = known.get(transfer) ?? new Map<string, CodeCurves>()
  known.set(transfer, ofTransfer)
  const key = `${range} ${bits}`
  const before = ofTransfer.get(key)
  if (before !== undefined) return before
  // Between its entries a table may do what no polynomial that is tried at a few points would show.
  const measured = typeof spec.transfer !== 'string' && 'table' in spec.transfer
  const curves = (curve: (x: number, c: 0 | 1 | 2) => number): ChannelCurves => {
    const of = (c: 0 | 1 | 2): BatchCurve =>
      measured ? exactCurve((x) => curve(x, c)) : new PiecewisePolynomial((x) => curve(x, c))
    const red = of(0)
    return transfer.channelsAlike ? [red, red, red] : [red, of(1), of(2)]
  }
  const made: CodeCurves = {
    decode: curves((x, c) => transfer.decode(nominalFromFraction(x, range, bits), c)),
    encode: curves((x, c) => fractionFromNominal(transfer.encode(x, c), range, bits)),
  }
  ofTransfer.set(key, made)
  return made
}

/** Triples through the curves of their channels, in place. */
export function throughCurves(curves: ChannelCurves, triples: Float64Array): void {
  for (const c of [0, 1, 2] as const) curves[c].each(triples, c, 3)
}
