import { apply3, diagonal3, invert3, type Mat3, multiply3, type Vec3 } from '../linear/mat3.ts'

/** The three parts of an affine match y = B·x + t = M · (g ∘ (x + l)), the rows of M summing to 1. */
export interface AffineParts {
  readonly lift: Vec3
  readonly gain: Vec3
  readonly matrix: Mat3
}

/**
 * g = 1 ⊘ (B⁻¹·1), M = B·diag(1/g), l = B⁻¹·t: exact, and the only such split. `undefined` where B has no inverse
 * or a gain would not be positive: then no light of the camera comes out as white.
 *
 * @param B 3×3, camera's linear light → working linear light. @param t linear light in the working primaries.
 */
export function splitAffine(B: Mat3, t: Vec3): AffineParts | undefined {
  const inverse = invert3(B)
  if (inverse === undefined) return undefined
  const white = apply3(inverse, [1, 1, 1])
  if (!(white[0] > 0 && white[1] > 0 && white[2] > 0)) return undefined
  return {
    lift: apply3(inverse, t),
    gain: [1 / white[0], 1 / white[1], 1 / white[2]],
    matrix: multiply3(B, diagonal3(white)),
  }
}

/** The inverse of `splitAffine`: B = M·diag(g), t = B·l. */
export function joinAffine({ lift, gain, matrix }: AffineParts): { B: Mat3; t: Vec3 } {
  const B = multiply3(matrix, diagonal3(gain))
  return { B, t: apply3(B, lift) }
}
