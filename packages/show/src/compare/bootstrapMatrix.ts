import { leastSquares, type Mat3, type Vec3 } from '@isochip/core'

/** The matrix M of b ≈ M·a over the patches, by least squares. */
export function linearMap(a: readonly Vec3[], b: readonly Vec3[]) {
  const { solution, rank, condition } = leastSquares(a, b)
  const column = (c: number): Vec3 => [solution[0]![c]!, solution[1]![c]!, solution[2]![c]!]
  const matrix: Mat3 = [column(0), column(1), column(2)]
  return { matrix, rank, condition }
}

/** 95 % interval of each term of a matrix. */
export type MatrixInterval = readonly (readonly (readonly [low: number, high: number])[])[]

/**
 * Intervals of that matrix from the patches themselves: they are drawn anew, with replacement, and the matrix fitted
 * to each draw (B. Efron, Bootstrap methods, Ann. Statist. 7 (1979) 1–26; percentile interval). They hold what noise,
 * unevenness and the choice of patches do to the matrix together. The draws are the same at every run.
 *
 * @param a rows of full rank: `linearMap(a, b).rank` is 3
 */
export function bootstrapMatrix(a: readonly Vec3[], b: readonly Vec3[], draws = 500): MatrixInterval {
  let state = 0x9e3779b9
  const random = () => {
    // Marsaglia's xorshift of 32 bits.
    state ^= state << 13
    state ^= state >>> 17
    state ^= state << 5
    return (state >>> 0) / 2 ** 32
  }
  const terms = Array.from({ length: 9 }, () => [] as number[])
  for (let draw = 0; draw < draws; draw++) {
    const picked = a.map(() => Math.floor(random() * a.length))
    const { matrix, rank } = linearMap(
      picked.map((i) => a[i]!),
      picked.map((i) => b[i]!),
    )
    // A draw of too few different patches says nothing.
    if (rank < 3) continue
    for (const [term, value] of matrix.flat().entries()) terms[term]!.push(value)
  }
  const interval = (values: number[]) => {
    const sorted = values.sort((x, y) => x - y)
    const at = (share: number) => sorted[Math.round(share * (sorted.length - 1))]!
    return [at(0.025), at(0.975)] as const
  }
  return [0, 1, 2].map((r) => [0, 1, 2].map((c) => interval(terms[3 * r + c]!)))
}
