import type { Mat3 } from '../linear/mat3.ts'
import type { Samples } from '../samples/samples.ts'
import type { LeastSquaresProblem } from '../solver/leastSquaresProblem.ts'
import type { MatchModel } from './model.ts'
import type { ModelKind } from './modelKind.ts'

/** How a kind of match computes its output from its parameters, and how a slope in the output becomes slopes in them. */
export interface Design {
  readonly kind: ModelKind
  readonly parameters: number
  /** Columns of the design of one output channel: as many well-placed patches does the kind need at least. */
  readonly columns: number
  /** Once for every θ, before `output`. False where θ has no meaning as a match. */
  prepare(theta: Float64Array): boolean
  /** Linear light out for patch `p` into `out[0…2]`. */
  output(theta: Float64Array, p: number, out: Float64Array): void
  /** ∂output/∂source of patch `p`, 3×3, row-major, into `out[0…8]`: what a change of the reading's light does. */
  inputSlope(theta: Float64Array, p: number, out: Float64Array): void
  /** Three rows of the Jacobian at `jacobian[at…]`: `slope` (3×3, row-major, by the output) times ∂output/∂θ. */
  chain(theta: Float64Array, p: number, slope: Float64Array, jacobian: Float64Array, at: number): void
  /** Sums over the rows that `chain` wrote, for all patches: `LeastSquaresProblem.products`. */
  readonly products?: NonNullable<LeastSquaresProblem['products']>
  /** The linear least-squares problem for the start; see `linearFit`. */
  readonly linear: LinearStart
  /** The match that θ stands for; `undefined` where it has none (the white would not come out). */
  toModel(theta: Float64Array): MatchModel | undefined
  /**
   * ∂(lift, gain, matrix)/∂θ, 15 × parameters, row-major, matrix row by row; `undefined` where θ is no match, and for the
   * kinds that are not linear.
   */
  modelSlopes(theta: Float64Array): Float64Array | undefined
}

/** A kind as a linear least-squares problem: rows of `columns` numbers, one for each patch or one for each of its outputs. */
interface LinearStart {
  readonly columns: number
  readonly rowsPerPatch: 1 | 3
  /** Writes the rows, `width` numbers from one to the next. */
  rows(out: Float64Array, width: number): void
  /** θ from the solution, column by column with its right-hand sides. */
  theta(solution: number[][]): Float64Array
}

/** Everything a design needs to be made. `declared`: camera primaries → working primaries. */
export interface DesignInput {
  readonly samples: Samples
  readonly declared: Mat3
}

/** θ of a solution with one column of coefficients for each output: output by output; what comes after them is zero. */
export function outputByOutput(solution: readonly (readonly number[])[], parameters: number): Float64Array {
  const theta = new Float64Array(parameters)
  const columns = solution.length
  for (let i = 0; i < columns; i++) for (let c = 0; c < 3; c++) theta[c * columns + i] = solution[i]![c]!
  return theta
}
