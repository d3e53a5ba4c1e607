import { backward, cholesky } from '../solver/cholesky.ts'
import type { Columns } from './columns.ts'

/** What can leave a residual. `other` is what has no pattern. */
export type Cause = 'spectral' | 'curve' | 'unevenness' | 'clipping' | 'foreign' | 'other'

/** The causes that are taken to be there, each with its strength. */
export type State = ReadonlyMap<Cause, number>

/** How probable residuals are under causes of given strengths: a normal distribution whose covariance they add up to. */
export interface Evidence {
  /** The logarithm of the probability density of the residuals, but for a constant. */
  of(state: State): number
  /** The same with a cause at each of these strengths instead of the one that `state` has. */
  along(state: State, cause: Cause, strengths: readonly number[]): number[]
  /** The same where the residuals of one patch are not the work of a cause that is of single patches. */
  withoutPatch(state: State, cause: Cause, patch: number): number
  /** The residuals divided by their covariance. */
  weighted(state: State): Float64Array
}

/** Below this a pivot is rounding: residuals are never known better than a millionth of ΔE00. */
const leastPivot = { least: 1e-12, instead: 1e-12 }

/**
 * @param residuals three a patch, in ΔE00.
 * @param base what they scatter by in any case, as columns and, on the diagonal, as variances.
 * @param causes by cause, what a strength of 1 does.
 */
export function evidenceOf(
  residuals: Float64Array,
  base: { readonly columns: Columns; readonly variances: Float64Array },
  causes: Readonly<Record<Cause, Columns>>,
): Evidence {
  const n = residuals.length
  const whole = covarianceOf(base.columns, n)
  for (let i = 0; i < n; i++) whole[i * n + i]! += base.variances[i]!
  const covariances = new Map<Cause, Float64Array>()
  const covariance = (cause: Cause) => {
    const known = covariances.get(cause) ?? covarianceOf(causes[cause], n)
    covariances.set(cause, known)
    return known
  }
  // The residuals stand below the covariance as a row of their own, which the factoring turns into L⁻¹·y.
  const K = new Float64Array((n + 1) * n)
  const rest = new Float64Array(n * n)
  const sum = (into: Float64Array, state: State, without?: Cause) => {
    into.set(whole)
    for (const [cause, strength] of state) {
      if (cause !== without) addScaled(into, covariance(cause), n, strength ** 2)
    }
  }
  const factored = () => {
    K.set(residuals, n * n)
    cholesky(K, n, leastPivot)
    let log = 0
    for (let i = 0; i < n; i++) {
      const z = K[n * n + i]!
      log -= Math.log(K[i * n + i]!) + (z * z) / 2
    }
    return log
  }
  return {
    of(state) {
      sum(K, state)
      return factored()
    },
    along(state, cause, strengths) {
      sum(rest, state, cause)
      return strengths.map((strength) => {
        K.set(rest)
        addScaled(K, covariance(cause), n, strength ** 2)
        return factored()
      })
    },
    withoutPatch(state, cause, patch) {
      sum(K, state)
      const strength = state.get(cause) ?? 0
      for (let i = 3 * patch; i < 3 * patch + 3; i++) K[i * n + i]! -= strength ** 2
      return factored()
    },
    weighted(state) {
      sum(K, state)
      factored()
      const alpha = K.slice(n * n)
      backward(K, alpha)
      return alpha
    },
  }
}

/** The lower half of the covariance of these columns, n×n, row-major. */
function covarianceOf(columns: Columns, n: number): Float64Array {
  const K = new Float64Array(n * n)
  for (const column of columns) {
    for (let i = 0; i < n; i++) {
      const value = column[i]!
      if (value === 0) continue
      const row = i * n
      for (let j = 0; j <= i; j++) K[row + j]! += value * column[j]!
    }
  }
  return K
}

function addScaled(into: Float64Array, what: Float64Array, n: number, by: number): void {
  for (let i = 0; i < n; i++) {
    const row = i * n
    for (let j = row; j <= row + i; j++) into[j]! += by * what[j]!
  }
}
