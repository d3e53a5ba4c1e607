import { knots } from './knots.ts'
import type { SensorPrior } from './sensorPrior.ts'

/** Reflectances on the knots, one a patch or material. */
export type Reflectances = readonly Float64Array[]

/** The level of a channel is not known: a white may read about twice as high … */
const levelVariance = 4
/** … and black be lifted by about so much. */
const pedestalVariance = 0.02 ** 2

/** Mean of a reflectance over the knots. */
export const meanReflectance = (reflectance: Float64Array): number =>
  reflectance.reduce((sum, value) => sum + value, 0) / reflectance.length

/** A·Σ·Bᵀ, as × bs, row-major: the covariance of what one unknown channel, its white at 1, reads of the as and of the bs. */
export function readingCovariance(prior: SensorPrior, as: Reflectances, bs: Reflectances): Float64Array {
  const n = knots.count
  const out = new Float64Array(as.length * bs.length)
  const through = new Float64Array(n)
  for (const [j, b] of bs.entries()) {
    for (let i = 0; i < n; i++) {
      let sum = 0
      for (let k = 0; k < n; k++) sum += prior.moment[i * n + k]! * b[k]!
      through[i] = sum
    }
    for (const [i, a] of as.entries()) {
      let sum = 0
      for (let k = 0; k < n; k++) sum += a[k]! * through[k]!
      out[i * bs.length + j] = sum
    }
  }
  return out
}

const atAnyLevel = (covariance: Float64Array) =>
  covariance.map((value) => levelVariance * value + pedestalVariance)

/** What the readings of a chart tell about other reflectances, for any channel and any linear sum of channels. */
export interface ExpectedReadings {
  /** Others × patches, row-major: the reading to be expected of each is this sum of the patches' readings. */
  readonly weights: Float64Array
  /** By other: the variance that is left, of a channel whose white reads about 1. */
  readonly variance: Float64Array
}

/**
 * The expectation of the readings of reflectances that are not on the chart, given the chart's: Gaussian, linear in the
 * readings, W = K_oc·(K_cc + diag(error))⁻¹, K = 4·R·Σ·Rᵀ + 0.02²·11ᵀ.
 *
 * @param error by patch: variance of its reading, white = 1, of noise and of a print that is not as its spectrum says.
 */
export function expectReadings(
  prior: SensorPrior,
  chart: Reflectances,
  others: Reflectances,
  error: ArrayLike<number>,
): ExpectedReadings {
  const n = chart.length
  const factor = atAnyLevel(readingCovariance(prior, chart, chart))
  for (let i = 0; i < n; i++) factor[i * n + i]! += error[i]!
  cholesky(factor, n)
  const weights = atAnyLevel(readingCovariance(prior, others, chart))
  const variance = new Float64Array(others.length)
  const half = new Float64Array(n)
  for (const [o, other] of others.entries()) {
    const row = weights.subarray(o * n, (o + 1) * n)
    let told = 0
    for (let i = 0; i < n; i++) {
      let sum = row[i]!
      for (let k = 0; k < i; k++) sum -= factor[i * n + k]! * half[k]!
      half[i] = sum / factor[i * n + i]!
      told += half[i]! ** 2
    }
    for (let i = n - 1; i >= 0; i--) {
      let sum = half[i]!
      for (let k = i + 1; k < n; k++) sum -= factor[k * n + i]! * row[k]!
      row[i] = sum / factor[i * n + i]!
    }
    variance[o] = Math.max(atAnyLevel(readingCovariance(prior, [other], [other]))[0]! - told, 0)
  }
  return { weights, variance }
}

/** Lower triangle L of a symmetric positive matrix, L·Lᵀ, in place; what is above the diagonal is not touched. */
function cholesky(matrix: Float64Array, n: number): void {
  for (let j = 0; j < n; j++) {
    for (let i = j; i < n; i++) {
      let sum = matrix[i * n + j]!
      for (let k = 0; k < j; k++) sum -= matrix[i * n + k]! * matrix[j * n + k]!
      matrix[i * n + j] = i === j ? Math.sqrt(Math.max(sum, 1e-18)) : sum / matrix[j * n + j]!
    }
  }
}
