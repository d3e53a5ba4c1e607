/** What becomes of pivots that are not positive enough. */
export interface CholeskyOptions {
  /** A pivot at or below this is none. Default 0. */
  readonly least?: number
  /** What counts in place of such a pivot, 0 for a direction without spread. Default: the matrix is refused. */
  readonly instead?: number
}

/**
 * Lower triangle L of a symmetric positive matrix, L·Lᵀ, in place; what is above the diagonal is neither read nor touched.
 * False where the matrix is not positive, with the columns before the pivot done.
 *
 * @param matrix row-major, n columns and n rows or more: rows beyond are turned into x·L⁻ᵀ, as a right-hand side wants it.
 */
export function cholesky(
  matrix: Float64Array,
  n: number,
  { least = 0, instead }: CholeskyOptions = {},
): boolean {
  const rows = matrix.length / n
  for (let j = 0; j < n; j++) {
    const b = j * n
    let pivot = matrix[b + j]!
    for (let k = 0; k < j; k++) pivot -= matrix[b + k]! * matrix[b + k]!
    if (!(pivot > least)) {
      if (instead === undefined) return false
      pivot = instead
    }
    const root = Math.sqrt(pivot)
    matrix[b + j] = root
    // Four rows at a time: sums that do not wait for each other are where the time is won.
    let i = j + 1
    for (; i + 3 < rows; i += 4) {
      const p = i * n
      const q = p + n
      const r = q + n
      const s = r + n
      let w = matrix[p + j]!
      let x = matrix[q + j]!
      let y = matrix[r + j]!
      let z = matrix[s + j]!
      for (let k = 0; k < j; k++) {
        const by = matrix[b + k]!
        w -= matrix[p + k]! * by
        x -= matrix[q + k]! * by
        y -= matrix[r + k]! * by
        z -= matrix[s + k]! * by
      }
      matrix[p + j] = root === 0 ? 0 : w / root
      matrix[q + j] = root === 0 ? 0 : x / root
      matrix[r + j] = root === 0 ? 0 : y / root
      matrix[s + j] = root === 0 ? 0 : z / root
    }
    for (; i < rows; i++) {
      const p = i * n
      let w = matrix[p + j]!
      for (let k = 0; k < j; k++) w -= matrix[p + k]! * matrix[b + k]!
      matrix[p + j] = root === 0 ? 0 : w / root
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

/** L⁻ᵀ·x in place of x. */
export function backward(lower: Float64Array, x: Float64Array): void {
  const n = x.length
  for (let i = n - 1; i >= 0; i--) {
    let sum = x[i]!
    for (let k = i + 1; k < n; k++) sum -= lower[k * n + i]! * x[k]!
    x[i] = sum / lower[i * n + i]!
  }
}

/** (L·Lᵀ)⁻¹·x in place of x. */
export function divideBySquare(lower: Float64Array, x: Float64Array): void {
  forward(lower, x, x)
  backward(lower, x)
}
