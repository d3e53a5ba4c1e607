import { eachError } from './eachError.ts'
import { type Expectation, expectReadings, type Reflectances } from './expectReadings.ts'
import { relativeReadings } from './relativeReadings.ts'

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
  const { n, level, means, channels, stated, share } = relativeReadings(
    light,
    standardError,
    weight,
    reflectances,
  )
  let most = Number.NEGATIVE_INFINITY
  let [misfit, noise] = [0, 0]
  eachError({ n, means, stated, share, covariance, rows: channels }, (tried, floor, likelihood) => {
    if (likelihood <= most) return
    most = likelihood
    misfit = tried
    noise = floor
  })
  const error = Float64Array.from(
    means,
    (mean, p) => (noise ** 2 + stated[p]! + (misfit * mean) ** 2) / share[p]!,
  )
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
