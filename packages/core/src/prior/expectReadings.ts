import { ln } from '../elementary/ln.ts'
import { remember } from '../remember.ts'
import { backward, cholesky, divideBySquare, forward, forwardAll } from '../solver/cholesky.ts'
import { knots } from './knots.ts'
import type { SensorPrior } from './sensorPrior.ts'

/** Reflectances on the knots, one per patch or material. */
export type Reflectances = readonly Float64Array[]

/** The level of a channel is not known: a white may read about twice as high … */
const levelVariance = 4
/** … and black be lifted by about so much. */
const pedestalVariance = 0.02 ** 2

/** Mean of a reflectance over the knots. */
export function meanReflectance(reflectance: Float64Array): number {
  let sum = 0
  for (let k = 0; k < reflectance.length; k++) sum += reflectance[k]!
  return sum / reflectance.length
}

/** A·Σ·Bᵀ, as × bs, row-major: the covariance of what one unknown channel, its white at 1, reads of the as and of the bs. */
export const readingCovariance = remember(
  (prior: SensorPrior, as: Reflectances, bs: Reflectances): Float64Array => {
    const n = knots.count
    const { moment } = prior
    const out = new Float64Array(as.length * bs.length)
    const through = new Float64Array(n)
    for (let j = 0; j < bs.length; j++) {
      const b = bs[j]!
      for (let i = 0; i < n; i++) {
        let sum = 0
        for (let k = 0; k < n; k++) sum += moment[i * n + k]! * b[k]!
        through[i] = sum
      }
      for (let i = 0; i < as.length; i++) {
        const a = as[i]!
        let sum = 0
        for (let k = 0; k < n; k++) sum += a[k]! * through[k]!
        out[i * bs.length + j] = sum
      }
    }
    return out
  },
  8,
)

/** The same for channels of which neither level nor pedestal is known: 4·A·Σ·Bᵀ + 0.02²·11ᵀ. */
export const looseCovariance = remember(
  (prior: SensorPrior, as: Reflectances, bs: Reflectances): Float64Array => {
    return readingCovariance(prior, as, bs).map((value) => levelVariance * value + pedestalVariance)
  },
  8,
)

/** What the readings of a chart tell, for any channel and any linear sum of channels. */
export interface Expectation {
  /** Σ ln L_ii, the lower triangle of the readings' covariance: half the logarithm of its determinant. */
  readonly logVolume: number
  /** L⁻¹·x: the readings freed of what they have in common. `x` of each patch, `out` likewise. */
  whiten(x: ArrayLike<number>, out: Float64Array): void
  /** K⁻¹·x. */
  solve(x: ArrayLike<number>): Float64Array
  /** Diagonal of K⁻¹. */
  readonly precision: Float64Array
  /** By patch: the pedestal to be expected is the sum of these times the readings. */
  readonly pedestal: Float64Array
  /** Standard error of that pedestal. */
  readonly pedestalError: number
  /**
   * Others × patches, row-major: the reading to be expected of each other reflectance is this sum of the patches'.
   *
   * @param cross `looseCovariance` of the others and the patches.
   */
  weights(cross: Float64Array): Float64Array
}

/**
 * Gaussian, linear in the readings: W = K_oc·(K_cc + diag(error))⁻¹.
 *
 * @param covariance `looseCovariance` of the chart's patches with themselves.
 * @param error by patch: variance of its reading, of noise and of a print that is not as its spectrum says.
 */
export function expectReadings(covariance: Float64Array, error: ArrayLike<number>): Expectation {
  const n = error.length
  const factor = covariance.slice()
  for (let i = 0; i < n; i++) factor[i * n + i]! += error[i]!
  if (!cholesky(factor, n)) throw new RangeError('errors of readings must be positive')
  let logVolume = 0
  for (let i = 0; i < n; i++) logVolume += ln(factor[i * n + i]!)
  return {
    logVolume,
    whiten: (x, out) => forward(factor, x, out),
    solve(x) {
      const row = Float64Array.from(x)
      divideBySquare(factor, row)
      return row
    },
    get precision() {
      return Float64Array.from({ length: n }, (_, i) => {
        const unit = new Float64Array(n)
        unit[i] = 1
        forward(factor, unit, unit)
        return unit.reduce((sum, value) => sum + value * value, 0)
      })
    },
    get pedestal() {
      const row = new Float64Array(n).fill(pedestalVariance)
      divideBySquare(factor, row)
      return row
    },
    get pedestalError() {
      const row = new Float64Array(n).fill(pedestalVariance)
      forward(factor, row, row)
      return Math.sqrt(Math.max(pedestalVariance - row.reduce((sum, value) => sum + value * value, 0), 0))
    },
    weights(cross) {
      const out = cross.slice()
      forwardAll(factor, n, out)
      for (let at = 0; at < out.length; at += n) backward(factor, out.subarray(at, at + n))
      return out
    },
  }
}
