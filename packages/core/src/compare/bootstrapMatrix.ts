import { IsochipError } from '../errors.ts'
import type { Vec3 } from '../linear/mat3.ts'
import { quantile } from '../quantile.ts'
import { seededRandom } from '../random.ts'
import type { responseMap } from '../shape/responses.ts'
import type { Shape } from '../shape/shape.ts'
import { Matrix, QrDecomposition } from '../solver/matrices.ts'
import { linearMap } from './linearMap.ts'

/** 95 % interval of each term of a matrix. */
export type MatrixInterval = Shape<typeof responseMap>['interval']

/** A patch with this share of its own fitted value in its own hand cannot be held against the others. */
const alone = 1 - 1e-9

/**
 * Intervals of that matrix from what it leaves at the patches: the residuals are put back with random signs, one per
 * patch, and the matrix is fitted anew (the wild bootstrap of C. F. J. Wu, Ann. Statist. 14 (1986) 1261–1295, with
 * signs after R. Davidson, E. Flachaire, J. Econometrics 146 (2008) 162–169), which gives the 2.5 and 97.5 percentiles
 * of each term. A residual is first divided by 1 − leverage, since a patch that the fit leans on leaves little. What
 * noise, unevenness and metamerism leave is in them; that other patches would be other colours is not. The patches
 * themselves stay, so every fit has a matrix. The same at every run.
 *
 * @param a rows of full rank: `linearMap(a, b).rank` is 3
 * @throws IsochipError `rank-deficient` where one patch alone carries some of the matrix: then there are no intervals
 */
export function bootstrapMatrix(a: readonly Vec3[], b: readonly Vec3[], count = 500): MatrixInterval {
  const { matrix } = linearMap(a, b)
  const q = new QrDecomposition(new Matrix(a.map((row) => [...row])))
  const { orthogonalMatrix, upperTriangularMatrix } = q
  const leverage = a.map((_, i) => orthogonalMatrix.getRow(i).reduce((sum, value) => sum + value * value, 0))
  if (leverage.some((share) => share > alone)) {
    throw new IsochipError(
      'rank-deficient',
      'one patch alone carries some of the matrix: it has no intervals',
      {
        hint: 'use a chart with more colours',
      },
    )
  }
  // What a residual at a patch does to the terms: (AᵀA)⁻¹·a = R⁻¹·q.
  const effect = a.map((_, i) => backSubstituted(upperTriangularMatrix, orthogonalMatrix.getRow(i)))
  const left = a.map(([r, g, bl], i) =>
    matrix.map((row, c) => (b[i]![c]! - (row[0] * r + row[1] * g + row[2] * bl)) / (1 - leverage[i]!)),
  )
  const random = seededRandom(1)
  const terms = Array.from({ length: 9 }, () => new Float64Array(count))
  for (let round = 0; round < count; round++) {
    for (const [i, residual] of left.entries()) {
      const sign = random() < 0.5 ? -1 : 1
      for (let term = 0; term < 9; term++)
        terms[term]![round]! += sign * residual[Math.floor(term / 3)]! * effect[i]![term % 3]!
    }
  }
  const interval = (value: number, shifts: Float64Array) => {
    const sorted = shifts.sort()
    return [value + quantile(sorted, 0.025), value + quantile(sorted, 0.975)] as const
  }
  return [0, 1, 2].map((r) => [0, 1, 2].map((c) => interval(matrix[r as 0][c as 0], terms[3 * r + c]!)))
}

/** R⁻¹·q for an upper triangular R. */
function backSubstituted(upper: Matrix, q: readonly number[]): number[] {
  const x = [...q]
  for (let i = x.length - 1; i >= 0; i--) {
    for (let j = i + 1; j < x.length; j++) x[i]! -= upper.get(i, j) * x[j]!
    x[i]! /= upper.get(i, i)
  }
  return x
}
