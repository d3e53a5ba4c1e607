/** A = U·diag(values)·Vᵀ of a square matrix, the vectors row by row: `U·diag(values)` as `along`. */
export interface SingularValues {
  readonly values: Float64Array
  /** uᵢ·valueᵢ at `i * n`. */
  readonly along: Float64Array
  /** vᵢ at `i * n`. */
  readonly right: Float64Array
}

/** Columns are at right angles when the cosine between them is below this. */
const rightAngle = 1e-15
/** A dozen columns take six sweeps or so; what has not settled by then differs by rounding alone. */
const mostSweeps = 30

/**
 * Singular values by rotating pairs of columns until all are at right angles (M. R. Hestenes, Inversion of matrices by
 * biorthogonalization, J. SIAM 6, 1958), which finds small ones as exactly as large ones. For a few columns: the work of a
 * sweep grows with their cube.
 *
 * @param matrix n × n, column by column; becomes `along`.
 */
export function singularValues(matrix: Float64Array, n: number): SingularValues {
  const right = new Float64Array(n * n)
  for (let i = 0; i < n; i++) right[i * n + i] = 1
  for (let sweep = 0; sweep < mostSweeps; sweep++) {
    let settled = true
    for (let p = 0; p < n * n; p += n) {
      for (let q = p + n; q < n * n; q += n) {
        let pp = 0
        let qq = 0
        let pq = 0
        for (let i = 0; i < n; i++) {
          const a = matrix[p + i]!
          const b = matrix[q + i]!
          pp += a * a
          qq += b * b
          pq += a * b
        }
        if (!(Math.abs(pq) > rightAngle * Math.sqrt(pp * qq))) continue
        settled = false
        const half = (qq - pp) / (2 * pq)
        const tangent = (half < 0 ? -1 : 1) / (Math.abs(half) + Math.sqrt(1 + half * half))
        const cosine = 1 / Math.sqrt(1 + tangent * tangent)
        rotate(matrix, n, p, q, cosine, cosine * tangent)
        rotate(right, n, p, q, cosine, cosine * tangent)
      }
    }
    if (settled) break
  }
  const values = new Float64Array(n)
  for (let i = 0; i < n; i++) {
    let square = 0
    for (let k = i * n; k < (i + 1) * n; k++) square += matrix[k]! * matrix[k]!
    values[i] = Math.sqrt(square)
  }
  return { values, along: matrix, right }
}

function rotate(matrix: Float64Array, n: number, p: number, q: number, cosine: number, sine: number): void {
  for (let i = 0; i < n; i++) {
    const a = matrix[p + i]!
    const b = matrix[q + i]!
    matrix[p + i] = cosine * a - sine * b
    matrix[q + i] = sine * a + cosine * b
  }
}
