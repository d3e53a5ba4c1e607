import { exp2 } from '../elementary/exp2.ts'
import { ln } from '../elementary/ln.ts'
import { cholesky } from '../solver/cholesky.ts'
import type { RelativeReadings } from './relativeReadings.ts'

/** Misfits and noises that are tried: the least is what tables of reflectance, and readings of four digits, are good for. */
const misfits = Array.from({ length: 8 }, (_, i) => 0.002 * exp2(i))
const noises = [0.0001, 0.0005, 0.0025]
/** Averages of many pixels are rarely that noisy: what a step of noise has to gain in logarithms of likelihood. */
const rarity = 4

/**
 * The log-likelihood of the readings under every misfit and noise that is tried.
 *
 * @param rows the three channels, and what else is to be whitened: L⁻¹ times each stands in `whitened`, row by row.
 */
export function eachError(
  {
    n,
    means,
    stated,
    share,
    covariance,
    rows,
  }: Omit<RelativeReadings, 'level' | 'channels'> & {
    readonly covariance: Float64Array
    readonly rows: readonly Float64Array[]
  },
  visit: (misfit: number, noise: number, likelihood: number, whitened: Float64Array) => void,
): void {
  // The readings stand below the covariance as rows of their own, which the factoring turns into L⁻¹·x.
  const factor = new Float64Array((n + rows.length) * n)
  const whitened = factor.subarray(n * n)
  for (const misfit of misfits) {
    for (const [step, floor] of noises.entries()) {
      factor.set(covariance)
      for (let p = 0; p < n; p++) {
        factor[p * n + p]! += (floor ** 2 + stated[p]! + (misfit * means[p]!) ** 2) / share[p]!
      }
      for (const [at, row] of rows.entries()) factor.set(row, (n + at) * n)
      if (!cholesky(factor, n)) throw new RangeError('errors of readings must be positive')
      let likelihood = -rarity * step
      for (let p = 0; p < n; p++) likelihood -= 3 * ln(factor[p * n + p]!)
      for (let i = 0; i < 3 * n; i++) likelihood -= (whitened[i]! * whitened[i]!) / 2
      visit(misfit, floor, likelihood, whitened)
    }
  }
}
