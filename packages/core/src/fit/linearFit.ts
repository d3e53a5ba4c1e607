import type { Design } from '../model/design.ts'
import type { Samples } from '../samples/samples.ts'
import { type LeastSquaresFit, leastSquares } from '../solver/leastSquares.ts'

export interface LinearFit {
  readonly theta: Float64Array
  readonly rank: number
  /** Columns of the linear problem that `rank` is out of. */
  readonly columns: number
  readonly condition: number
}

/** Weighted least squares in linear light, closed form. */
export function linearFit(design: Design, samples: Samples): LinearFit {
  const rows = design.linearRows()
  const perPatch = rows.length / samples.count
  const sides: number[][] = []
  const weights: number[] = []
  for (let i = 0; i < rows.length; i++) {
    const p = perPatch === 1 ? i : Math.floor(i / 3)
    const { target } = samples
    sides.push(perPatch === 1 ? [target[3 * p]!, target[3 * p + 1]!, target[3 * p + 2]!] : [target[i]!])
    weights.push(samples.weight[p]!)
  }
  const fit: LeastSquaresFit = leastSquares(rows, sides, weights)
  return {
    theta: design.fromLinear(fit.solution),
    rank: fit.rank,
    columns: rows[0]!.length,
    condition: fit.condition,
  }
}
