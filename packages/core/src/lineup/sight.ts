import { ciede2000Jet, jetSize } from '../colour/ciede2000.ts'
import { type Viewer, viewLab } from '../colour/viewer.ts'
import type { Mat3 } from '../linear/mat3.ts'
import type { Curve } from './chain.ts'

/** How far a signal is from the target, patch by patch, as the eye sees it. */
export interface Sight {
  readonly count: number
  /** Three residuals per patch, whose norm is √weight · ΔE00, into `out`. */
  residuals(signal: ArrayLike<number>, out: Float64Array, at?: number): void
  /** The same for linear light in the camera's primaries. */
  ofLight(light: ArrayLike<number>, out: Float64Array, at?: number): void
  /** Mean ΔE00 of a signal over the patches that have weight. */
  mean(signal: ArrayLike<number>): number
}

/**
 * @param declared camera primaries → working primaries. @param target three numbers per patch, linear light in the
 * working primaries. @param weight one per patch.
 */
export function sightOf(
  curve: Curve,
  declared: Mat3,
  viewer: Viewer,
  target: ArrayLike<number>,
  weight: ArrayLike<number>,
): Sight {
  const count = weight.length
  const lab = new Float64Array(3)
  const wanted = new Float64Array(3 * count)
  for (let p = 0; p < count; p++) {
    viewLab(viewer, target[3 * p]!, target[3 * p + 1]!, target[3 * p + 2]!, lab)
    wanted.set(lab, 3 * p)
  }
  const root = Float64Array.from({ length: count }, (_, p) => Math.sqrt(weight[p]!))
  const jet = new Float64Array(jetSize)
  const [[a, b, c], [d, e, f], [g, h, i]] = declared
  const trio = (p: number, r: number, s: number, t: number, out: Float64Array, at: number) => {
    viewLab(viewer, a * r + b * s + c * t, d * r + e * s + f * t, g * r + h * s + i * t, lab)
    ciede2000Jet(
      lab[0]!,
      lab[1]!,
      lab[2]!,
      wanted[3 * p]!,
      wanted[3 * p + 1]!,
      wanted[3 * p + 2]!,
      out,
      at,
      jet,
    )
  }
  const one = new Float64Array(3)
  const scaled = (p: number, out: Float64Array, at: number) => {
    out[at]! *= root[p]!
    out[at + 1]! *= root[p]!
    out[at + 2]! *= root[p]!
  }
  const decoded = (signal: ArrayLike<number>, p: number, c: 0 | 1 | 2) => curve.decode(signal[3 * p + c]!, c)
  return {
    count,
    residuals(signal, out, at = 0) {
      for (let p = 0; p < count; p++) {
        trio(p, decoded(signal, p, 0), decoded(signal, p, 1), decoded(signal, p, 2), out, at + 3 * p)
        scaled(p, out, at + 3 * p)
      }
    },
    ofLight(light, out, at = 0) {
      for (let p = 0; p < count; p++) {
        trio(p, light[3 * p]!, light[3 * p + 1]!, light[3 * p + 2]!, out, at + 3 * p)
        scaled(p, out, at + 3 * p)
      }
    },
    mean(signal) {
      let sum = 0
      let counted = 0
      for (let p = 0; p < count; p++) {
        if (root[p] === 0) continue
        trio(p, decoded(signal, p, 0), decoded(signal, p, 1), decoded(signal, p, 2), one, 0)
        sum += Math.hypot(one[0]!, one[1]!, one[2]!)
        counted++
      }
      return sum / counted
    },
  }
}
