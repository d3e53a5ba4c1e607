import type { Xy } from '../colour/illuminants.ts'
import type { Vec3 } from '../linear/mat3.ts'
import { knots } from '../prior/knots.ts'
import { everyNanometre, range } from './everyNanometre.ts'
import { observers } from './observers.ts'
import type { Spectrum } from './spectrum.ts'

/** Light and observer as weights on a reflectance, by nm: X, Y and Z, the Y of a perfect diffuser being 1. */
export interface Tristimulus {
  /** Chromaticity of the light. */
  readonly white: Xy
  /** XYZ of a reflectance, Y = 1 for a perfect diffuser. */
  xyz(reflectance: Spectrum): Vec3
  /** What each knot of a reflectance adds to X, Y and Z, where it runs straight between knots. */
  readonly onKnots: readonly [Float64Array, Float64Array, Float64Array]
}

/**
 * Colours under a light as an observer sees them: direct sums by 1 nm from 380 to 780 nm (CIE 015:2018), reflectances and
 * observer interpolated after Sprague (CIE 167:2005), the light linearly.
 *
 * @param light relative power; nothing beyond its ends
 */
export function tristimulus(light: Spectrum, observer: 2 | 10 = 2): Tristimulus {
  const power = everyNanometre(light, 'linear', 'zero')
  const products = observers(observer).map((curve) =>
    everyNanometre(curve, 'sprague', 'zero').map((value, i) => value * power[i]!),
  )
  const sums = products.map((product) => product.reduce((sum, value) => sum + value, 0))
  const weights = products.map((product) => product.map((value) => value / sums[1]!))
  const three = <T>(of: (weight: Float64Array) => T): [T, T, T] => [
    of(weights[0]!),
    of(weights[1]!),
    of(weights[2]!),
  ]
  const total = sums[0]! + sums[1]! + sums[2]!
  return {
    white: [sums[0]! / total, sums[1]! / total],
    xyz(reflectance) {
      const fine = everyNanometre(reflectance, 'sprague', 'hold')
      return three((weight) => weight.reduce((sum, value, i) => sum + value * fine[i]!, 0))
    },
    onKnots: three((weight) => {
      const out = new Float64Array(knots.count)
      for (const [i, value] of weight.entries()) {
        const at = (range.start + i - knots.start) / knots.step
        const left = Math.min(Math.max(Math.floor(at), 0), knots.count - 2)
        const t = Math.min(Math.max(at - left, 0), 1)
        out[left]! += value * (1 - t)
        out[left + 1]! += value * t
      }
      return out
    }),
  }
}
