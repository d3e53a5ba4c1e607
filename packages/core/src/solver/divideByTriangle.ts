/**
 * X·R = A in place of A, R upper triangular: each row of A divided from the right.
 *
 * @param triangle row-major, columns × columns at its head; what is below the diagonal is not read.
 * @param matrix rows × columns, row-major.
 */
export function divideByTriangle(
  triangle: Float64Array,
  matrix: Float64Array,
  rows: number,
  columns: number,
): void {
  for (let i = 0; i < rows; i++) {
    const row = i * columns
    for (let j = 0; j < columns; j++) {
      let sum = matrix[row + j]!
      for (let k = 0; k < j; k++) sum -= matrix[row + k]! * triangle[k * columns + j]!
      matrix[row + j] = sum / triangle[j * columns + j]!
    }
  }
}
