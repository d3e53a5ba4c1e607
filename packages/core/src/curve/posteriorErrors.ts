import { CholeskyDecomposition, Matrix } from '../solver/matrices.ts'
import { ridge } from '../solver/tolerances.ts'

/** Standard errors of sums of parameters that were fitted with a prior. */
export interface PosteriorErrors {
  /** Of Σ factor · parameter, given as pairs of the parameter's place and its factor. */
  of(sum: readonly (readonly [at: number, factor: number])[]): number
}

/**
 * By Bayes, with residuals of unit scatter times `scale` and a prior of that strength: the inverse of JᵀJ + S². A small ridge
 * on its diagonal keeps what neither patches nor prior say anything of from stopping the rest.
 *
 * @param jacobian row by row, as many columns as `strength` has values
 */
export function posteriorErrors(
  jacobian: Float64Array,
  strength: Float64Array,
  scale: number,
): PosteriorErrors {
  const m = strength.length
  const J = Matrix.from1DArray(jacobian.length / m, m, jacobian)
  const curvature = J.transpose().mmul(J)
  for (let j = 0; j < m; j++) {
    const own = curvature.get(j, j)
    curvature.set(j, j, own + strength[j]! ** 2 + ridge * (own + 1))
  }
  const decomposition = new CholeskyDecomposition(curvature)
  return {
    of(sum) {
      const side = Matrix.zeros(m, 1)
      for (const [at, factor] of sum) side.set(at, 0, factor)
      const answer = decomposition.solve(side)
      return (
        scale *
        Math.sqrt(
          Math.max(
            sum.reduce((all, [at, f]) => all + f * answer.get(at, 0), 0),
            0,
          ),
        )
      )
    },
  }
}
