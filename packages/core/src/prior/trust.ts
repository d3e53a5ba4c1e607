import { exp2 } from '../elementary/exp2.ts'
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
  const white = new Float64Array(n)
  let best: Trust | undefined
  let most = Number.NEGATIVE_INFINITY
  for (const [misfit, noise, step] of misfits.flatMap((share) =>
    noises.map((floor, step) => [share, floor, step] as const),
  )) {
    const error = means.map((mean, p) => {
      const stated =
        (standardError[3 * p]! + standardError[3 * p + 1]! + standardError[3 * p + 2]!) / 3 / level
      return (noise ** 2 + stated ** 2 + (misfit * mean) ** 2) / Math.max(weight[p]!, 1e-4)
    })
    const expectation = expectReadings(covariance, error)
    let likelihood = -3 * expectation.logVolume - rarity * step
    for (const x of channels) {
      expectation.whiten(x, white)
      for (const value of white) likelihood -= (value * value) / 2
    }
    if (likelihood <= most) continue
    most = likelihood
    const pedestal = (c: number) =>
      level * expectation.pedestal.reduce((total, w, p) => total + w * channels[c]![p]!, 0)
    best = {
      misfit,
      level,
      expectation,
      pedestal: [pedestal(0), pedestal(1), pedestal(2)],
      pedestalError: level * expectation.pedestalError,
    }
  }
  return best!
}
