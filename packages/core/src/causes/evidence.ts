import { ln } from '../elementary/ln.ts'
import { backward, cholesky, forwardAll } from '../solver/cholesky.ts'
import { leastPivot } from '../solver/tolerances.ts'
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

/** Their columns have one number each: they add to the diagonal alone. */
const ofSinglePatches: ReadonlySet<Cause> = new Set(['foreign', 'other'])
/** Causes of few columns: K + s²·U·Uᵀ by K's own factor and a small matrix (M. A. Woodbury 1950), all strengths at once. */
const ofFewColumns: ReadonlySet<Cause> = new Set(['curve', 'unevenness', 'clipping'])

/**
 * @param residuals three per patch, in ΔE00.
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
  const add = (cause: Cause, strength: number, into: Float64Array) => {
    if (ofSinglePatches.has(cause)) return addSquares(into, causes[cause], n, strength ** 2)
    const known = covariances.get(cause) ?? covarianceOf(causes[cause], n)
    covariances.set(cause, known)
    addScaled(into, known, n, strength ** 2)
  }
  // The residuals stand below the covariance as a row of their own, which the factoring turns into L⁻¹·y.
  const K = new Float64Array((n + 1) * n)
  const rest = new Float64Array(n * n)
  const sum = (into: Float64Array, state: State, without?: Cause) => {
    into.set(whole)
    for (const [cause, strength] of state) {
      if (cause !== without) add(cause, strength, into)
    }
  }
  const factored = () => {
    K.set(residuals, n * n)
    cholesky(K, n, leastPivot)
    let log = 0
    for (let i = 0; i < n; i++) {
      const z = K[n * n + i]!
      log -= ln(K[i * n + i]!) + (z * z) / 2
    }
    return log
  }
  // Several causes are tried beside the same others.
  let last: { readonly state: State; readonly lower: Float64Array; readonly log: number } | undefined
  const bareOf = (state: State) => {
    if (last?.state !== state) {
      sum(K, state)
      const log = factored()
      last = { state, lower: K.slice(), log }
    }
    return last
  }
  return {
    of(state) {
      sum(K, state)
      return factored()
    },
    along(state, cause, strengths) {
      if (ofFewColumns.has(cause) && !state.has(cause)) {
        const bare = bareOf(state)
        return fewColumns(bare.lower, bare.log, causes[cause], strengths)
      }
      sum(rest, state, cause)
      return strengths.map((strength) => {
        K.set(rest)
        add(cause, strength, K)
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
  let at = 0
  // Four at a time: a quarter of the loads and stores of the sums.
  for (; at + 3 < columns.length; at += 4) {
    const [a, b, c, d] = [columns[at]!, columns[at + 1]!, columns[at + 2]!, columns[at + 3]!]
    for (let i = 0; i < n; i++) {
      const ai = a[i]!
      const bi = b[i]!
      const ci = c[i]!
      const di = d[i]!
      if (ai === 0 && bi === 0 && ci === 0 && di === 0) continue
      const row = i * n
      for (let j = 0; j <= i; j++) K[row + j]! += ai * a[j]! + bi * b[j]! + ci * c[j]! + di * d[j]!
    }
  }
  for (; at < columns.length; at++) {
    const column = columns[at]!
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

/** Each of these columns has one number other than zero. */
function addSquares(into: Float64Array, columns: Columns, n: number, by: number): void {
  for (const column of columns) {
    for (let i = 0; i < n; i++) if (column[i] !== 0) into[i * n + i]! += by * column[i]! * column[i]!
  }
}

/**
 * The logarithm of the density under L·Lᵀ + s²·U·Uᵀ, for each s.
 *
 * @param lower L, n×n, and below it L⁻¹·y. @param log the logarithm of the density under L·Lᵀ alone.
 */
function fewColumns(lower: Float64Array, log: number, U: Columns, strengths: readonly number[]): number[] {
  const k = U.length
  const n = Math.round((Math.sqrt(1 + 4 * lower.length) - 1) / 2)
  const y = lower.subarray(n * n)
  // W = L⁻¹·U, WᵀW, and Wᵀ·L⁻¹·y.
  const W = new Float64Array(k * n)
  for (let a = 0; a < k; a++) W.set(U[a]!, a * n)
  forwardAll(lower, n, W)
  const gram = new Float64Array(k * k)
  const along = new Float64Array(k)
  for (let a = 0; a < k; a++) {
    const at = a * n
    let b = 0
    for (; b + 2 < a; b += 3) {
      const p = b * n
      const q = p + n
      const r = q + n
      let [x, y, z] = [0, 0, 0]
      for (let i = 0; i < n; i++) {
        const value = W[at + i]!
        x += value * W[p + i]!
        y += value * W[q + i]!
        z += value * W[r + i]!
      }
      gram[a * k + b] = x
      gram[a * k + b + 1] = y
      gram[a * k + b + 2] = z
    }
    for (; b <= a; b++) {
      let dot = 0
      for (let i = 0; i < n; i++) dot += W[at + i]! * W[b * n + i]!
      gram[a * k + b] = dot
    }
    for (let i = 0; i < n; i++) along[a]! += W[at + i]! * y[i]!
  }
  const small = new Float64Array((k + 1) * k)
  return strengths.map((strength) => {
    const by = strength ** 2
    for (let i = 0; i < k * k; i++) small[i] = by * gram[i]!
    for (let a = 0; a < k; a++) {
      small[a * k + a]! += 1
      small[k * k + a] = strength * along[a]!
    }
    cholesky(small, k)
    let gained = log
    for (let a = 0; a < k; a++) {
      const z = small[k * k + a]!
      gained += (z * z) / 2 - ln(small[a * k + a]!)
    }
    return gained
  })
}
