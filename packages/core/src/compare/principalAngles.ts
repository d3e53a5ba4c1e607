import { acos } from '../elementary/acos.ts'
import { asin } from '../elementary/asin.ts'
import { Matrix, QrDecomposition, SVD } from '../solver/matrices.ts'

/**
 * Principal angles between the spaces that the columns of two matrices span, in degrees, from the smallest: Å. Björck,
 * G. H. Golub, Numerical methods for computing angles between linear subspaces, Math. Comp. 27 (1973) 579–594. Small
 * angles come from their sines, large ones from their cosines, so that neither loses its digits.
 *
 * Between the responses of two cameras to the same patches all angles are zero exactly when a matrix takes the one to
 * the other without rest; noise opens them too.
 *
 * @param a rows × columns, at least as many rows as columns, of full rank
 * @param b as many rows
 */
export function principalAngles(
  a: readonly (readonly number[])[],
  b: readonly (readonly number[])[],
): readonly number[] {
  const basis = (rows: readonly (readonly number[])[]) =>
    new QrDecomposition(new Matrix(rows.map((row) => [...row]))).orthogonalMatrix
  const [qa, qb] = [basis(a), basis(b)]
  const shared = qa.transpose().mmul(qb)
  const cosines = [...new SVD(shared).diagonal].sort((x, y) => y - x)
  const rest = Matrix.sub(qb, qa.mmul(shared))
  const sines = [...new SVD(rest).diagonal].sort((x, y) => x - y)
  return cosines.map((cosine, i) => {
    const angle = cosine ** 2 < 0.5 ? acos(Math.min(1, cosine)) : asin(Math.min(1, sines[i]!))
    return (180 / Math.PI) * angle
  })
}
