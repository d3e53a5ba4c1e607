import { ciede2000Jet, jetSize } from '../colour/ciede2000.ts'
import { type Viewing, viewLab, viewLabSlope } from '../colour/viewing.ts'
import { hypot } from '../elementary/hypot.ts'
import type { Mat3 } from '../linear/mat3.ts'
import type { Curve } from './chain/chain.ts'

/** How far light and signal are from the target, patch by patch, as the eye sees it. */
export interface Sight {
  readonly count: number
  /**
   * Three residuals of patch `p`, whose norm is √weight · ΔE00, into `out[at…]`, for linear light in the camera's
   * primaries; their derivatives by that light, 3×3 row-major, into `slope`.
   */
  ofLight(p: number, light: ArrayLike<number>, out: Float64Array, at: number, slope: Float64Array): void
  /** Mean ΔE00 of a signal, three code values per patch, over the patches that have weight. */
  mean(signal: ArrayLike<number>): number
}

/**
 * @param declared camera primaries → working primaries. @param target three numbers per patch, linear light in the
 * working primaries. @param weight one per patch.
 */
export function sightOf(
  curve: Curve,
  declared: Mat3,
  viewing: Viewing,
  target: ArrayLike<number>,
  weight: ArrayLike<number>,
): Sight {
  const count = weight.length
  const lab = new Float64Array(3)
  const wanted = new Float64Array(3 * count)
  for (let p = 0; p < count; p++) {
    viewLab(viewing, target[3 * p]!, target[3 * p + 1]!, target[3 * p + 2]!, lab)
    wanted.set(lab, 3 * p)
  }
  const root = Float64Array.from({ length: count }, (_, p) => Math.sqrt(weight[p]!))
  const jet = new Float64Array(jetSize)
  const labSlope = new Float64Array(9)
  const [[a, b, c], [d, e, f], [g, h, i]] = declared
  /** Of the Lab at hand. */
  const difference = (p: number, out: Float64Array, at: number) => {
    const w = 3 * p
    ciede2000Jet(lab[0]!, lab[1]!, lab[2]!, wanted[w]!, wanted[w + 1]!, wanted[w + 2]!, out, at, jet)
  }
  const one = new Float64Array(3)
  return {
    count,
    ofLight(p, light, out, at, slope) {
      const [r, s, t] = [light[0]!, light[1]!, light[2]!]
      const x = a * r + b * s + c * t
      const y = d * r + e * s + f * t
      const z = g * r + h * s + i * t
      viewLabSlope(viewing, x, y, z, lab, labSlope)
      difference(p, out, at)
      const scale = root[p]!
      for (let k = 0; k < 3; k++) out[at + k]! *= scale
      // By the working primaries first, then by the camera's.
      for (let k = 0; k < 3; k++) {
        slope[k] = scale * jet[0]! * labSlope[k]!
        slope[3 + k] = scale * (jet[1]! * labSlope[3 + k]! + jet[2]! * labSlope[6 + k]!)
        slope[6 + k] = scale * (jet[3]! * labSlope[3 + k]! + jet[4]! * labSlope[6 + k]!)
      }
      for (let k = 0; k < 9; k += 3) {
        const [u, v, w] = [slope[k]!, slope[k + 1]!, slope[k + 2]!]
        slope[k] = u * a + v * d + w * g
        slope[k + 1] = u * b + v * e + w * h
        slope[k + 2] = u * c + v * f + w * i
      }
    },
    mean(signal) {
      let sum = 0
      let counted = 0
      for (let p = 0; p < count; p++) {
        if (root[p] === 0) continue
        const r = curve.decode(signal[3 * p]!, 0)
        const s = curve.decode(signal[3 * p + 1]!, 1)
        const t = curve.decode(signal[3 * p + 2]!, 2)
        viewLab(viewing, a * r + b * s + c * t, d * r + e * s + f * t, g * r + h * s + i * t, lab)
        difference(p, one, 0)
        sum += hypot(one[0]!, one[1]!, one[2]!)
        counted++
      }
      return sum / counted
    },
  }
}
