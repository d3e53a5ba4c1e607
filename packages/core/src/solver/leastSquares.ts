import { Matrix, SVD } from 'ml-matrix'
import { triangularise } from './triangularise.ts'

/**
 * Singular values of the column-scaled design below this share of the largest do not count: the one rank tolerance
 * of the project. Columns are scaled to unit length first, so data in 0…1 and in 0…65535 get the same answer. Six
 * digits: readings of a chart have four or five, and what is left below that is their noise.
 */
export const rankTolerance = 1e-6

export interface LeastSquaresFit {
  /** Columns × right-hand sides, row-major: `solution[column][side]`. Least norm (in scaled columns) if rank-deficient. */
  readonly solution: number[][]
  readonly rank: number
  /** Ratio of the largest to the smallest singular value of the column-scaled design; Infinity if rank-deficient. */
  readonly condition: number
}

/**
 * Linear least squares A·X ≈ B by Householder QR of the column-scaled A and the singular value decomposition of
 * its triangular part (ml-matrix).
 *
 * @param design rows × columns, at least one row.
 * @param sides rows × sides.
 * @param weights one a row, on the squared residuals; default 1.
 */
export function leastSquares(
  design: readonly (readonly number[])[],
  sides: readonly (readonly number[])[],
  weights?: ArrayLike<number>,
): LeastSquaresFit {
  const rows = design.length
  const columns = design[0]?.length ?? 0
  const root = (i: number) => (weights === undefined ? 1 : Math.sqrt(weights[i]!))
  const scale = Array.from({ length: columns }, (_, j) => {
    let sum = 0
    for (let i = 0; i < rows; i++) sum += (root(i) * design[i]![j]!) ** 2
    return sum > 0 ? Math.sqrt(sum) : 1
  })
  // [A | B], scaled and weighted, brought to triangular form: the singular values are those of its small upper part.
  const width = columns + (sides[0]?.length ?? 0)
  const height = Math.max(rows, columns)
  const stacked = new Float64Array(height * width)
  for (let i = 0; i < rows; i++) {
    for (let j = 0; j < columns; j++) stacked[i * width + j] = (root(i) * design[i]![j]!) / scale[j]!
    for (let k = columns; k < width; k++) stacked[i * width + k] = root(i) * sides[i]![k - columns]!
  }
  triangularise(stacked, height, width, columns)
  const scaled = new Matrix(columns, columns)
  const right = new Matrix(columns, width - columns)
  for (let i = 0; i < columns; i++) {
    for (let j = i; j < columns; j++) scaled.set(i, j, stacked[i * width + j]!)
    for (let k = columns; k < width; k++) right.set(i, k - columns, stacked[i * width + k]!)
  }
  const svd = new SVD(scaled)
  const values = svd.diagonal
  const largest = Math.max(...values)
  const rank = values.filter((value) => value > rankTolerance * largest).length
  const U = svd.leftSingularVectors
  const V = svd.rightSingularVectors
  const projected = U.transpose().mmul(right)
  for (let j = 0; j < values.length; j++) {
    const inverse = values[j]! > rankTolerance * largest ? 1 / values[j]! : 0
    for (let k = 0; k < projected.columns; k++) projected.set(j, k, projected.get(j, k) * inverse)
  }
  const solution = V.mmul(projected).to2DArray()
  return {
    solution: solution.map((row, j) => row.map((value) => value / scale[j]!)),
    rank,
    condition: rank < columns ? Number.POSITIVE_INFINITY : largest / Math.min(...values),
  }
}
