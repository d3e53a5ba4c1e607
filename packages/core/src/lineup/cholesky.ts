/**
 * L of S = L·Lᵀ, row-major, m×m, for a covariance that may have directions without spread, which `solver/cholesky.ts`
 * refuses: tiny or negative pivots count as zero.
 */
export function choleskyFactor(S: ArrayLike<number>, m: number): Float64Array {
  const L = new Float64Array(m * m)
  for (let j = 0; j < m; j++) {
    for (let i = j; i < m; i++) {
      let sum = S[i * m + j]!
      for (let k = 0; k < j; k++) sum -= L[i * m + k]! * L[j * m + k]!
      if (i === j) L[i * m + i] = Math.sqrt(Math.max(sum, 0))
      else L[i * m + j] = L[j * m + j]! > 1e-12 ? sum / L[j * m + j]! : 0
    }
  }
  return L
}
