import { exp2 } from '../elementary/exp2.ts'
import { ln } from '../elementary/ln.ts'
import { cholesky } from '../solver/cholesky.ts'
import { type Expectation, expectReadings, meanReflectance, type Reflectances } from './expectReadings.ts'

/** One side of a match, camera or target: what its readings of the chart are worth under the prior. */
export interface Trust {
  /**
   * How far readings are off what any sensor in any light would read of these spectra, as a share of the patch's mean
   * reflectance: 0.002 to 0.006 where light is linear and the chart as its spectra say, a tenth where a curve is wrong.
   */
  readonly misfit: number
  /** Light that the readings are of, per unit of reflectance. */
  readonly level: number
  readonly expectation: Expectation
  /** Light that black is lifted by, by channel. */
  readonly pedestal: readonly [number, number, number]
  /** Standard error of that light. */
  readonly pedestalError: number
}

/** Misfits and noises that are tried: the least is what tables of reflectance, and readings of four digits, are good for. */
const misfits = Array.from({ length: 8 }, (_, i) => 0.002 * exp2(i))
const noises = [0.0001, 0.0005, 0.0025]
/** Averages of many pixels are rarely that noisy: what a step of noise has to gain in logarithms of likelihood. */
const rarity = 4

/**
 * The misfit, and the noise where readings do not state it, by the largest likelihood of all three channels' readings
 * (empirical Bayes).
 *
 * @param light three numbers per patch, linear. @param standardError the same, zero where not known.
 * @param weight by patch; a patch of less weight is believed less.
 * @param covariance `looseCovariance` of the patches.
 */
export function trustOf(
  light: Float64Array,
  standardError: Float64Array,
  weight: Float64Array,
  reflectances: Reflectances,
  covariance: Float64Array,
): Trust {
  const n = weight.length
  const means = reflectances.map(meanReflectance)
  let sum = 0
  let of = 0
  for (let p = 0; p < n; p++) {
    sum += (weight[p]! * (light[3 * p]! + light[3 * p + 1]! + light[3 * p + 2]!)) / 3
    of += weight[p]! * means[p]!
  }
  const level = sum / of > 0 ? sum / of : 1
  const channels = [0, 1, 2].map((c) => Float64Array.from({ length: n }, (_, p) => light[3 * p + c]! / level))
  const stated = means.map((_, p) => {
    const own = (standardError[3 * p]! + standardError[3 * p + 1]! + standardError[3 * p + 2]!) / 3 / level
    return own ** 2
  })
  const share = Float64Array.from(weight, (w) => Math.max(w, 1e-4))
  // The readings stand below the covariance as rows of their own, which the factoring turns into L⁻¹·x.
  const factor = new Float64Array((n + 3) * n)
  let most = Number.NEGATIVE_INFINITY
  let [misfit, noise] = [misfits[0]!, noises[0]!]
  for (const tried of misfits) {
    for (const [step, floor] of noises.entries()) {
      factor.set(covariance)
      for (let p = 0; p < n; p++) {
        factor[p * n + p]! += (floor ** 2 + stated[p]! + (tried * means[p]!) ** 2) / share[p]!
      }
      for (const [c, x] of channels.entries()) factor.set(x, (n + c) * n)
      if (!cholesky(factor, n)) throw new RangeError('errors of readings must be positive')
      let likelihood = -rarity * step
      for (let p = 0; p < n; p++) likelihood -= 3 * ln(factor[p * n + p]!)
      for (let i = n * n; i < factor.length; i++) likelihood -= (factor[i]! * factor[i]!) / 2
      if (likelihood <= most) continue
      most = likelihood
      misfit = tried
      noise = floor
    }
  }
  const error = means.map((mean, p) => (noise ** 2 + stated[p]! + (misfit * mean) ** 2) / share[p]!)
  const expectation = expectReadings(covariance, error)
  const { pedestal: weights } = expectation
  const pedestal = (c: number) => level * weights.reduce((total, w, p) => total + w * channels[c]![p]!, 0)
  return {
    misfit,
    level,
    expectation,
    pedestal: [pedestal(0), pedestal(1), pedestal(2)],
    pedestalError: level * expectation.pedestalError,
  }
}
