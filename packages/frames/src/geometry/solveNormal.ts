/**
 * Solves A·x = b for a symmetric positive definite A by Cholesky's factorization, in place; for the many tiny normal
 * equations of lattices and colour fits, where a matrix object for each would cost more than the arithmetic.
 *
 * @param a row-major n × n, only its lower triangle is read; overwritten
 * @param b n values; overwritten by the solution
 * @returns false when A is not positive definite to working precision
 */
export function solveNormal(a: Float64Array, b: Float64Array): boolean {
  const n = b.length
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
  for (let i = 0; i < n; i++) {
    let sum = b[i]!
    for (let k = 0; k < i; k++) sum -= a[i * n + k]! * b[k]!
    b[i] = sum / a[i * n + i]!
  }
  for (let i = n - 1; i >= 0; i--) {
    let sum = b[i]!
    for (let k = i + 1; k < n; k++) sum -= a[k * n + i]! * b[k]!
    b[i] = sum / a[i * n + i]!
  }
  return true
}
