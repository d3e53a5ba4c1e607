import { exp } from '../elementary/exp.ts'
import { ln } from '../elementary/ln.ts'
/**
 * A smooth correction of a transfer curve: light x becomes x · exp(q(u)), q(u) = Σ cₖ·uᵏ for k = 1 … 4, with u half the
 * logarithm of light over mid grey. A knee, a toe, an S and a wrong gamma are all of this kind; a factor (k = 0) is not
 * in it, since gain is in the match.
 */
export interface Correction {
  /** Light of mid grey: 0.2 where the brightest patch has 0.9. */
  readonly middle: number
  /** The range of u that the chart's readings span. Below and above it q goes on straight. */
  readonly low: number
  readonly high: number
  /** c₁ … c₄ of all channels. */
  readonly common: readonly number[]
  /** What comes to them in red, green and blue. */
  readonly channels: readonly [readonly number[], readonly number[], readonly number[]]
}

/** Powers of u in a correction. */
export const correctionOrder = 4

/** Half the logarithm of light over mid grey, evened out near black so that it ends there: −1.5 at no light at all. */
export function correctionLevel(light: number, middle: number): number {
  const black = blackShare * middle
  return ln((Math.max(light, 0) + black) / (middle + black)) / 2
}

/** Light below this share of mid grey is near black. */
const blackShare = 0.05

/** q(u) of one channel, straight outside of the levels that the chart has. */
export function correctionExponent(of: Correction, channel: 0 | 1 | 2, u: number): number {
  const at = Math.min(Math.max(u, of.low), of.high)
  let value = 0
  let slope = 0
  for (let k = correctionOrder; k >= 1; k--) {
    const c = of.common[k - 1]! + of.channels[channel][k - 1]!
    slope = slope * at + k * c
    value = value * at + c
  }
  return value * at + slope * (u - at)
}

/** The light that a correction makes of light; point-symmetric to zero, as the curves themselves are. */
export function correctLight(of: Correction, channel: 0 | 1 | 2, light: number): number {
  return light * exp(correctionExponent(of, channel, correctionLevel(Math.abs(light), of.middle)))
}
