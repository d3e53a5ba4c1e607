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
}

/** Shares that are tried, doubling. The least is what tables of reflectance are good for. */
const leastMisfit = 0.002
const trials = 8
/** Noise of readings where none is stated, as a share of a white's light. */
const leastNoise = 0.0005

/**
 * The misfit by the largest likelihood of all three channels' readings (empirical Bayes).
 *
 * @param light three numbers a patch, linear. @param standardError the same, zero where not known.
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
  for (let trial = 0; trial < trials; trial++) {
    const misfit = leastMisfit * 2 ** trial
    const error = means.map((mean, p) => {
      const noise = (standardError[3 * p]! + standardError[3 * p + 1]! + standardError[3 * p + 2]!) / 3 / level
      return (leastNoise ** 2 + noise ** 2 + (misfit * mean) ** 2) / Math.max(weight[p]!, 1e-4)
    })
    const expectation = expectReadings(covariance, error)
    let likelihood = -3 * expectation.logVolume
    for (const x of channels) {
      expectation.whiten(x, white)
      for (const value of white) likelihood -= value * value / 2
    }
    if (likelihood <= most) continue
    most = likelihood
    const pedestal = (c: number) => level * expectation.pedestal.reduce((total, w, p) => total + w * channels[c]![p]!, 0)
    best = { misfit, level, expectation, pedestal: [pedestal(0), pedestal(1), pedestal(2)] }
  }
  return best!
}
