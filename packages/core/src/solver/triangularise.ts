/**
 * Householder QR in place: the first `columns` columns of a row-major rows × width matrix become upper triangular, the
 * others are multiplied by the same Qᵀ. What is left below the diagonal is not to be read.
 */
export function triangularise(matrix: Float64Array, rows: number, width: number, columns: number): void {
  for (let j = 0; j < columns; j++) {
    let norm = 0
    for (let i = j; i < rows; i++) norm += matrix[i * width + j]! ** 2
    norm = Math.sqrt(norm)
    if (norm === 0) continue
    const head = matrix[j * width + j]!
    const diagonal = head > 0 ? -norm : norm
    const v0 = head - diagonal
    matrix[j * width + j] = v0
    // H = I − 2vvᵀ/vᵀv, and vᵀv = −2·diagonal·v0.
    const half = -diagonal * v0
    for (let k = j + 1; k < width; k++) {
      let dot = 0
      for (let i = j; i < rows; i++) dot += matrix[i * width + j]! * matrix[i * width + k]!
      dot /= half
      for (let i = j; i < rows; i++) matrix[i * width + k]! -= dot * matrix[i * width + j]!
    }
    matrix[j * width + j] = diagonal
  }
}
