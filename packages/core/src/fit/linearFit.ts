import type { Design } from '../model/design.ts'
import type { Samples } from '../samples/samples.ts'
import { scaleRow, stackedLeastSquares } from '../solver/leastSquares.ts'

export interface LinearFit {
  readonly theta: Float64Array
  readonly rank: number
  /** Columns of the linear problem that `rank` is out of. */
  readonly columns: number
  readonly condition: number
}

/** Weighted least squares in linear light, closed form. */
export function linearFit(design: Design, samples: Samples): LinearFit {
  const { target, weight, count } = samples
  const { linear } = design
  // Three outputs side by side, or one after another.
  const sides = 3 / linear.rowsPerPatch
  const width = linear.columns + sides
  const stacked = new Float64Array(Math.max(count * linear.rowsPerPatch, linear.columns) * width)
  linear.rows(stacked, width)
  for (let i = 0; i < count * linear.rowsPerPatch; i++) {
    const at = i * width
    for (let k = 0; k < sides; k++) stacked[at + linear.columns + k] = target[i * sides + k]!
    scaleRow(stacked, at, width, Math.sqrt(weight[Math.floor(i / linear.rowsPerPatch)]!))
  }
  const fit = stackedLeastSquares(stacked, linear.columns, width)
  return {
    theta: linear.theta(fit.solution),
    rank: fit.rank,
    columns: linear.columns,
    condition: fit.condition,
  }
}
