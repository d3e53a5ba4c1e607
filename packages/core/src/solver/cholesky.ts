/**
 * Lower triangle L of a symmetric positive matrix, L·Lᵀ, in place; what is above the diagonal is neither read nor touched.
 * False where the matrix is not positive.
 */
export function cholesky(matrix: Float64Array, n: number): boolean {
  for (let j = 0; j < n; j++) {
    for (let i = j; i < n; i++) {
      let sum = matrix[i * n + j]!
      for (let k = 0; k < j; k++) sum -= matrix[i * n + k]! * matrix[j * n + k]!
      if (i > j) matrix[i * n + j] = sum / matrix[j * n + j]!
      else if (sum > 0) matrix[i * n + j] = Math.sqrt(sum)
      else return false
    }
  }
  return true
}

/** L⁻¹·x into `out`, which may be x itself. */
export function forward(lower: Float64Array, x: ArrayLike<number>, out: Float64Array): void {
  const n = out.length
  for (let i = 0; i < n; i++) {
    let sum = x[i]!
    for (let k = 0; k < i; k++) sum -= lower[i * n + k]! * out[k]!
    out[i] = sum / lower[i * n + i]!
  }
}

/** (L·Lᵀ)⁻¹·x in place of x. */
export function divideBySquare(lower: Float64Array, x: Float64Array): void {
  const n = x.length
  forward(lower, x, x)
  for (let i = n - 1; i >= 0; i--) {
    let sum = x[i]!
    for (let k = i + 1; k < n; k++) sum -= lower[k * n + i]! * x[k]!
    x[i] = sum / lower[i * n + i]!
  }
}
