import { type Chart, isNeutral } from '../../chart/chart.ts'
import { apply3, inverse3, type Mat3, type Vec3 } from '../../linear/mat3.ts'
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

/** A knee, and the signal from which on it may act. */
export function kneeOf(
  tone: GreyTone | undefined,
  greys: readonly Grey[],
): { readonly short: number; readonly from: number } | undefined {
  if (tone === undefined || tone.knee.errors < kneed.errors || tone.knee.short < kneed.short) return undefined
  return { short: tone.knee.short, from: Math.max(...greys.at(-2)!.signal) }
}

/** Is what is asked for at black as well the other of the two? */
export function blackOf(tone: GreyTone | undefined, { u, stages }: TurnAdvice): GreyWord['black'] {
  if (tone === undefined || u[flareAt] !== 0 || Math.abs(tone.flareOdds) > sure) return undefined
  const moved = Math.abs(u[9]! + u[10]! + u[11]!) / 3
  return moved >= worthTelling && stages.some(({ group }) => group === 'pedestal') ? 'either' : undefined
}
