import { meanReflectance, type Reflectances } from './expectReadings.ts'

/** Readings relative to their level, with what is known of their errors. */
export interface RelativeReadings {
  readonly n: number
  /** Light that the readings are of, per unit of reflectance. */
  readonly level: number
  /** Mean reflectance by patch. */
  readonly means: readonly number[]
  readonly channels: readonly Float64Array[]
  /** Variance that readings state, by patch. */
  readonly stated: readonly number[]
  /** By patch: how much of it is believed. */
  readonly share: Float64Array
}

/**
 * @param light three numbers per patch, linear. @param standardError the same, zero where not known.
 * @param weight by patch; a patch of less weight is believed less.
 */
export function relativeReadings(
  light: Float64Array,
  standardError: Float64Array,
  weight: Float64Array,
  reflectances: Reflectances,
): RelativeReadings {
  const n = weight.length
  const means = reflectances.map(meanReflectance)
  let sum = 0
  let of = 0
  for (let p = 0; p < n; p++) {
    sum += (weight[p]! * (light[3 * p]! + light[3 * p + 1]! + light[3 * p + 2]!)) / 3
    of += weight[p]! * means[p]!
  }
  const level = sum / of > 0 ? sum / of : 1
  return {
    n,
    level,
    means,
    channels: [0, 1, 2].map((c) => Float64Array.from({ length: n }, (_, p) => light[3 * p + c]! / level)),
    stated: means.map((_, p) => {
      const own = (standardError[3 * p]! + standardError[3 * p + 1]! + standardError[3 * p + 2]!) / 3 / level
      return own ** 2
    }),
    share: Float64Array.from(weight, (w) => Math.max(w, 1e-4)),
  }
}
