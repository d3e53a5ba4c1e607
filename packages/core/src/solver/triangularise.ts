/**
 * Householder QR in place: the first `columns` columns of a row-major rows × width matrix become upper triangular, the
 * others are multiplied by the same Qᵀ. What is left below the diagonal is not to be read.
 */
export function triangularise(matrix: Float64Array, rows: number, width: number, columns: number): void {
  const end = rows * width
  for (let j = 0; j < columns; j++) {
    let norm = 0
    const top = j * width
    for (let at = top + j; at < end; at += width) norm += matrix[at]! * matrix[at]!
    norm = Math.sqrt(norm)
    if (norm === 0) continue
    const head = matrix[top + j]!
    const diagonal = head > 0 ? -norm : norm
    const v0 = head - diagonal
    matrix[top + j] = v0
    // H = I − 2vvᵀ/vᵀv, and vᵀv = −2·diagonal·v0.
    const half = -diagonal * v0
    for (let k = j + 1; k < width; k++) {
      let dot = 0
      const beside = k - j
      for (let at = top + j; at < end; at += width) dot += matrix[at]! * matrix[at + beside]!
      dot /= half
      for (let at = top + j; at < end; at += width) matrix[at + beside]! -= dot * matrix[at]!
    }
    matrix[top + j] = diagonal
  }
}
