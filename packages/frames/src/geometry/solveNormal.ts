/**
 * Solves A·x = b for a symmetric positive definite A by Cholesky's factorization, in place; for the many tiny normal
 * equations of lattices and colour fits, where a matrix object for each would cost more than the arithmetic.
 *
 * @param a row-major n × n, only its lower triangle is read; overwritten
 * @param b n values; overwritten by the solution
 * @returns false when A is not positive definite to working precision
 */
export function solveNormal(a: Float64Array, b: Float64Array): boolean {
  if (!factorNormal(a, b.length)) return false
  forwards(a, b)
  backwards(a, b)
  return true
}

/**
 * The factor L of A = L·Lᵀ, in place, for several right sides of one A.
 *
 * @param a row-major n × n, only its lower triangle is read; overwritten
 * @returns false when A is not positive definite to working precision
 */
export function factorNormal(a: Float64Array, n: number): boolean {
  for (let j = 0; j < n; j++) {
    const before = a[j * n + j]!
    let pivot = before
    for (let k = 0; k < j; k++) pivot -= a[j * n + k]! ** 2
    if (!(pivot > 1e-13 * before)) return false
    const root = Math.sqrt(pivot)
    a[j * n + j] = root
    for (let i = j + 1; i < n; i++) {
      let sum = a[i * n + j]!
      for (let k = 0; k < j; k++) sum -= a[i * n + k]! * a[j * n + k]!
      a[i * n + j] = sum / root
    }
  }
  return true
}

/** L⁻¹·b, in place. Its squares add up to bᵀ·A⁻¹·b. */
export function forwards(factor: Float64Array, b: Float64Array): void {
  const n = b.length
  for (let i = 0; i < n; i++) {
    let sum = b[i]!
    for (let k = 0; k < i; k++) sum -= factor[i * n + k]! * b[k]!
    b[i] = sum / factor[i * n + i]!
  }
}

/** L⁻ᵀ·b, in place: after `forwards` it is A⁻¹·b. */
export function backwards(factor: Float64Array, b: Float64Array): void {
  const n = b.length
  for (let i = n - 1; i >= 0; i--) {
    let sum = b[i]!
    for (let k = i + 1; k < n; k++) sum -= factor[k * n + i]! * b[k]!
    b[i] = sum / factor[i * n + i]!
  }
}
