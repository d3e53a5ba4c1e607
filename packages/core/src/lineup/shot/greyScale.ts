import { type Chart, isNeutral } from '../../chart/chart.ts'
import { apply3, inverse3, type Mat3, type Vec3 } from '../../linear/mat3.ts'
import type { Readings } from '../../readings.ts'
import { trueBlack } from '../../samples/trueBlack.ts'
import type { Target } from '../../target/target.ts'
import type { TurnAdvice } from '../adviseTurn.ts'
import { flareAt } from '../controls.ts'
import type { Grey, GreyTone } from './greyTone.ts'

/** What the grey scale says that is no turn of a control. */
export interface GreyWord {
  /** What is asked for at black may be flare as well as pedestal: both look alike on this grey scale. */
  readonly black?: 'either'
  /** So much of the signal the lightest grey is under what the others lead to expect: a knee. */
  readonly knee?: number
  /** How much less the mean ΔE00 is expected to be with the knee off and nothing else turned; negative: more. */
  readonly kneeGain?: number
}

/** A knee: how much of the signal the lightest grey is short by, where it stands, and from which signal on it may act. */
export interface Knee {
  readonly short: number
  readonly from: number
  readonly to: number
}

/** A knee is told where the lightest grey is so many standard errors short, and by so much of the signal. */
const kneed = { errors: 4, short: 0.02 }
/** Over the second lightest grey by so much of the signal a patch may be beyond the knee. */
export const kneeMargin = 0.01
/** Black that is to be moved by less than this share of the signal is not worth a word. */
const worthTelling = 0.012
/** ln of the odds below which pedestal and flare are not told apart. */
const sure = 3

/** The greys of a chart with what they should be, the darkest first. @param used those that take part */
export function greyScale(
  used: readonly { readonly patch: string }[],
  chart: Chart,
  codes: ReadonlyMap<string, Vec3>,
  target: Target,
  declared: Mat3,
): Grey[] {
  const names = new Set(used.map(({ patch }) => patch))
  const toCamera = inverse3(declared)
  return chart.patches
    .filter((patch) => isNeutral(patch) && names.has(patch.name))
    .map(({ name }) => ({ signal: codes.get(name)!, aim: apply3(toCamera, target.light.get(name)!) }))
    .sort((a, b) => a.aim[1] - b.aim[1])
}

/** The chart's true black with the flare that the target has there, where both have it. */
export function trueBlackOf(
  chart: Chart,
  readings: Readings,
  { trueBlack: aim }: Target,
  declared: Mat3,
): Grey[] {
  const signal = trueBlack(chart, readings)
  return signal === undefined || aim === undefined
    ? []
    : [{ signal, aim: apply3(inverse3(declared), aim), isTrueBlack: true }]
}

/** A knee, and the signal from which on it may act. */
export function kneeOf(tone: GreyTone | undefined, greys: readonly Grey[]): Knee | undefined {
  if (tone === undefined || tone.knee.errors < kneed.errors || tone.knee.short < kneed.short) return undefined
  return { short: tone.knee.short, from: Math.max(...greys.at(-2)!.signal), to: greys.at(-1)!.signal[1] }
}

/** A code value as it would be without the knee: what lies over it is stretched so that the lightest grey comes right. */
export const withoutKnee = (code: number, { short, from, to }: Knee): number =>
  code > from && to > from ? code + (short * (code - from)) / (to - from) : code

/** Is what is asked for at black as well the other of the two? */
export function blackOf(tone: GreyTone | undefined, { u, stages }: TurnAdvice): GreyWord['black'] {
  if (tone === undefined || u[flareAt] !== 0 || Math.abs(tone.flareOdds) > sure) return undefined
  const moved = Math.abs(u[9]! + u[10]! + u[11]!) / 3
  return moved >= worthTelling && stages.some(({ group }) => group === 'pedestal') ? 'either' : undefined
}
