import { singularValues } from './singularValues.ts'
import { rankTolerance } from './tolerances.ts'
import { triangularise } from './triangularise.ts'

export interface LeastSquaresFit {
  /** Columns × right-hand sides, row-major: `solution[column][side]`. Least norm (in scaled columns) if rank-deficient. */
  readonly solution: number[][]
  readonly rank: number
  /** Ratio of the largest to the smallest singular value of the column-scaled design; Infinity if rank-deficient. */
  readonly condition: number
}

/**
 * Linear least squares A·X ≈ B by Householder QR of the column-scaled A and the singular value decomposition of
 * its triangular part.
 *
 * @param design rows × columns, at least one row.
 * @param sides rows × sides.
 * @param weights one per row, on the squared residuals; default 1.
 */
export function leastSquares(
  design: readonly (readonly number[])[],
  sides: readonly (readonly number[])[],
  weights?: ArrayLike<number>,
): LeastSquaresFit {
  const columns = design[0]?.length ?? 0
  const width = columns + (sides[0]?.length ?? 0)
  const stacked = new Float64Array(Math.max(design.length, columns) * width)
  for (const [i, row] of design.entries()) {
    stacked.set(row, i * width)
    stacked.set(sides[i]!, i * width + columns)
    if (weights !== undefined) scaleRow(stacked, i * width, width, Math.sqrt(weights[i]!))
  }
  return stackedLeastSquares(stacked, columns, width)
}

/** Multiplies a row by the root of its weight. */
export function scaleRow(stacked: Float64Array, at: number, width: number, root: number): void {
  for (let j = at; j < at + width; j++) stacked[j]! *= root
}

/**
 * The same of rows [A | B] that are weighted already, `width` numbers each; they are used up.
 *
 * @param stacked as many rows as A has columns at least: rows of zeros say nothing.
 */
export function stackedLeastSquares(stacked: Float64Array, columns: number, width: number): LeastSquaresFit {
  const height = stacked.length / width
  const scale = new Float64Array(columns)
  for (let j = 0; j < columns; j++) {
    let square = 0
    for (let at = j; at < stacked.length; at += width) square += stacked[at]! * stacked[at]!
    const size = square > 0 ? Math.sqrt(square) : 1
    scale[j] = size
    for (let at = j; at < stacked.length; at += width) stacked[at]! /= size
  }
  // Brought to triangular form: the singular values are those of its small upper part.
  triangularise(stacked, height, width, columns)
  const upper = new Float64Array(columns * columns)
  for (let j = 0; j < columns; j++) {
    for (let i = 0; i <= j; i++) upper[j * columns + i] = stacked[i * width + j]!
  }
  const { values, along, right } = singularValues(upper, columns)
  let rank = 0
  let largest = 0
  let smallest = Number.POSITIVE_INFINITY
  for (let k = 0; k < columns; k++) {
    largest = Math.max(largest, values[k]!)
    smallest = Math.min(smallest, values[k]!)
  }
  // V·diag(1/σ)·Uᵀ·B, side by side.
  const solution: number[][] = []
  for (let j = 0; j < columns; j++) solution.push(new Array<number>(width - columns).fill(0))
  for (let k = 0; k < columns; k++) {
    const value = values[k]!
    if (!(value > rankTolerance * largest)) continue
    rank++
    for (let side = 0; side < width - columns; side++) {
      let share = 0
      for (let i = 0; i < columns; i++)
        share += along[k * columns + i]! * stacked[i * width + columns + side]!
      share /= value * value
      for (let j = 0; j < columns; j++) solution[j]![side]! += right[k * columns + j]! * share
    }
  }
  for (let j = 0; j < columns; j++) {
    for (let side = 0; side < width - columns; side++) solution[j]![side]! /= scale[j]!
  }
  return {
    solution,
    rank,
    condition: rank < columns ? Number.POSITIVE_INFINITY : largest / smallest,
  }
}
