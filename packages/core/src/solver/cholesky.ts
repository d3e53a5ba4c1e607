/** What becomes of pivots that are not positive enough. */
export interface CholeskyOptions {
  /** A pivot at or below this is none. Default 0. */
  readonly least?: number
  /** What counts in place of such a pivot, 0 for a direction without spread. Default: the matrix is refused. */
  readonly instead?: number
}

/**
 * Lower triangle L of a symmetric positive matrix, L·Lᵀ, in place; what is above the diagonal is neither read nor touched.
 * False where the matrix is not positive; what it holds is then of no use.
 *
 * @param matrix row-major, n columns and n rows or more: rows beyond are turned into x·L⁻ᵀ, as a right-hand side wants it.
 */
export function cholesky(
  matrix: Float64Array,
  n: number,
  { least = 0, instead }: CholeskyOptions = {},
): boolean {
  const rows = matrix.length / n
  let j = 0
  // Two columns and four rows at a time: sums that do not wait for each other, and numbers that are read once for two of
  // them, are where the time is won. Each sum is still taken in its order.
  for (; j + 1 < n; j += 2) {
    const b = j * n
    const c = b + n
    let pivot = matrix[b + j]!
    let beside = matrix[c + j]!
    let second = matrix[c + j + 1]!
    for (let k = 0; k < j; k++) {
      const u = matrix[b + k]!
      const v = matrix[c + k]!
      pivot -= u * u
      beside -= v * u
      second -= v * v
    }
    if (!(pivot > least)) {
      if (instead === undefined) return false
      pivot = instead
    }
    const root = Math.sqrt(pivot)
    const below = root === 0 ? 0 : beside / root
    matrix[b + j] = root
    matrix[c + j] = below
    second -= below * below
    if (!(second > least)) {
      if (instead === undefined) return false
      second = instead
    }
    const next = Math.sqrt(second)
    matrix[c + j + 1] = next
    let i = j + 2
    for (; i + 3 < rows; i += 4) {
      const p = i * n
      const q = p + n
      const r = q + n
      const s = r + n
      let w0 = matrix[p + j]!
      let x0 = matrix[q + j]!
      let y0 = matrix[r + j]!
      let z0 = matrix[s + j]!
      let w1 = matrix[p + j + 1]!
      let x1 = matrix[q + j + 1]!
      let y1 = matrix[r + j + 1]!
      let z1 = matrix[s + j + 1]!
      for (let k = 0; k < j; k++) {
        const u = matrix[b + k]!
        const v = matrix[c + k]!
        const w = matrix[p + k]!
        const x = matrix[q + k]!
        const y = matrix[r + k]!
        const z = matrix[s + k]!
        w0 -= w * u
        x0 -= x * u
        y0 -= y * u
        z0 -= z * u
        w1 -= w * v
        x1 -= x * v
        y1 -= y * v
        z1 -= z * v
      }
      w0 = root === 0 ? 0 : w0 / root
      x0 = root === 0 ? 0 : x0 / root
      y0 = root === 0 ? 0 : y0 / root
      z0 = root === 0 ? 0 : z0 / root
      matrix[p + j] = w0
      matrix[q + j] = x0
      matrix[r + j] = y0
      matrix[s + j] = z0
      matrix[p + j + 1] = next === 0 ? 0 : (w1 - w0 * below) / next
      matrix[q + j + 1] = next === 0 ? 0 : (x1 - x0 * below) / next
      matrix[r + j + 1] = next === 0 ? 0 : (y1 - y0 * below) / next
      matrix[s + j + 1] = next === 0 ? 0 : (z1 - z0 * below) / next
    }
    for (; i < rows; i++) {
      const p = i * n
      let w0 = matrix[p + j]!
      let w1 = matrix[p + j + 1]!
      for (let k = 0; k < j; k++) {
        const w = matrix[p + k]!
        w0 -= w * matrix[b + k]!
        w1 -= w * matrix[c + k]!
      }
      w0 = root === 0 ? 0 : w0 / root
      matrix[p + j] = w0
      matrix[p + j + 1] = next === 0 ? 0 : (w1 - w0 * below) / next
    }
  }
  for (; j < n; j++) {
    const b = j * n
    for (let i = j; i < rows; i++) {
      const p = i * n
      let w = matrix[p + j]!
      for (let k = 0; k < j; k++) w -= matrix[p + k]! * matrix[b + k]!
      if (i === j) {
        if (!(w > least)) {
          if (instead === undefined) return false
          w = instead
        }
        matrix[p + j] = Math.sqrt(w)
      } else {
        const root = matrix[b + j]!
        matrix[p + j] = root === 0 ? 0 : w / root
      }
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

/** L⁻¹·x in place of each of these vectors, one after another in `rows`. */
export function forwardAll(lower: Float64Array, n: number, rows: Float64Array): void {
  const count = rows.length / n
  let v = 0
  for (; v + 3 < count; v += 4) {
    const p = v * n
    const q = p + n
    const r = q + n
    const s = r + n
    for (let i = 0; i < n; i++) {
      const at = i * n
      let w = rows[p + i]!
      let x = rows[q + i]!
      let y = rows[r + i]!
      let z = rows[s + i]!
      for (let k = 0; k < i; k++) {
        const by = lower[at + k]!
        w -= rows[p + k]! * by
        x -= rows[q + k]! * by
        y -= rows[r + k]! * by
        z -= rows[s + k]! * by
      }
      const diagonal = lower[at + i]!
      rows[p + i] = w / diagonal
      rows[q + i] = x / diagonal
      rows[r + i] = y / diagonal
      rows[s + i] = z / diagonal
    }
  }
  for (; v < count; v++) {
    const one = rows.subarray(v * n, (v + 1) * n)
    forward(lower, one, one)
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
