import { deltaE76 } from '../colour/deltaE.ts'
import { labFromXyz65, labSlope } from '../colour/lab.ts'
import { apply3, type Mat3, type Vec3 } from '../linear/mat3.ts'
import { leastSquares } from '../solver/leastSquares.ts'

/**
 * The matrix that takes responses to XYZ with the least mean ΔE*ab, from a start near it: least squares on CIELAB
 * made linear, each patch weighted with 1/ΔE*ab (E. Weiszfeld, Tohoku Math. J. 43 (1937) 355–386), steps halved until
 * the mean falls.
 *
 * @param seen responses, one per patch. @param wanted XYZ relative to D65, one per patch.
 */
export function leastMeanDE76(seen: readonly Vec3[], wanted: readonly Vec3[], start: Mat3): Mat3 {
  const goals = wanted.map((xyz) => labFromXyz65(xyz))
  const differences = (m: Mat3) => seen.map((s, i) => deltaE76(labFromXyz65(apply3(m, s)), goals[i]!))
  const total = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0)
  let matrix = start
  let off = differences(matrix)
  for (let round = 0; round < 200; round++) {
    const design: number[][] = []
    const sides: number[][] = []
    const weights: number[] = []
    for (const [i, s] of seen.entries()) {
      const xyz = apply3(matrix, s)
      const lab = labFromXyz65(xyz)
      const slope = labSlope(xyz)
      for (const k of [0, 1, 2] as const) {
        design.push(slope[k].flatMap((by) => [by * s[0], by * s[1], by * s[2]]))
        sides.push([goals[i]![k] - lab[k]])
        weights.push(1 / Math.max(off[i]!, 1e-6))
      }
    }
    const step = leastSquares(design, sides, weights).solution.map(([value]) => value!)
    let share = 1
    let next = moved(matrix, step, share)
    while (share > 1e-6 && !(total(differences(next)) < total(off))) {
      share /= 2
      next = moved(matrix, step, share)
    }
    const after = differences(next)
    const gained = total(off) - total(after)
    if (!(gained > 0)) break
    matrix = next
    off = after
    if (gained < 1e-12 * total(off)) break
  }
  return matrix
}

function moved(matrix: Mat3, step: readonly number[], share: number): Mat3 {
  const row = (r: 0 | 1 | 2): Vec3 => [
    matrix[r][0] + share * step[3 * r]!,
    matrix[r][1] + share * step[3 * r + 1]!,
    matrix[r][2] + share * step[3 * r + 2]!,
  ]
  return [row(0), row(1), row(2)]
}
