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

/**
 * ∂(lift, gain, matrix)/∂(B | t), 15 rows, row-major. From w = B⁻¹·1: dw = −B⁻¹·dB·w, dg = −dw/w², dM = dB·diag(w) +
 * B·diag(dw), and dl = B⁻¹·(dt − dB·l). `undefined` where there is no split.
 *
 * @param columns parameters of one output channel, in their order: three of B's row, and with 4 also its t.
 */
export function splitAffineSlopes(B: Mat3, t: Vec3, columns: number): Float64Array | undefined {
  const inverse = invert3(B)
  const split = splitAffine(B, t)
  if (inverse === undefined || split === undefined) return undefined
  const width = 3 * columns
  const slopes = new Float64Array(15 * width)
  const { lift, gain } = split
  for (let row = 0; row < 3; row++) {
    for (let k = 0; k < columns; k++) {
      const at = row * columns + k
      // What a change of one term does to the light that white needs, and to the lift.
      const white = k < 3 ? 1 / gain[k]! : 0
      for (let c = 0; c < 3; c++) {
        const back = inverse[c]![row]!
        const dw = -back * white
        if (columns === 4) slopes[c * width + at] = back * (k < 3 ? -lift[k]! : 1)
        slopes[(3 + c) * width + at] = -dw * gain[c]! ** 2
        for (let r = 0; r < 3; r++) slopes[(6 + 3 * r + c) * width + at] = B[r]![c]! * dw
      }
      if (k < 3) slopes[(6 + 3 * row + k) * width + at]! += white
    }
  }
  return slopes
}
