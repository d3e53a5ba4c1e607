/** Bring the columns of a row-major rows × columns matrix to unit length, in place; a column of zeros stays. Returns what they were divided by. */
export function scaleColumns(matrix: Float64Array, rows: number, columns: number): Float64Array {
  const scale = new Float64Array(columns)
  for (let i = 0; i < rows * columns; i++) scale[i % columns]! += matrix[i]! * matrix[i]!
  for (let j = 0; j < columns; j++) scale[j] = Math.sqrt(scale[j]!) || 1
  for (let i = 0; i < rows * columns; i++) matrix[i]! /= scale[i % columns]!
  return scale
}
