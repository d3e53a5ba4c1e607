import type { Mat3, Vec3 } from '../linear/mat3.ts'
import { leastSquares } from '../solver/leastSquares.ts'

/** The matrix M of b ≈ M·a over the patches, by least squares. `weights`: one per patch, on the squared residuals. */
export function linearMap(a: readonly Vec3[], b: readonly Vec3[], weights?: ArrayLike<number>) {
  const { solution, rank, condition } = leastSquares(a, b, weights)
  const column = (c: number): Vec3 => [solution[0]![c]!, solution[1]![c]!, solution[2]![c]!]
  const matrix: Mat3 = [column(0), column(1), column(2)]
  return { matrix, rank, condition }
}
