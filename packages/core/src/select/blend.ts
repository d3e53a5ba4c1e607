import { apply3, invert3, type Mat3 } from '../linear/mat3.ts'

/**
 * How much of an informed match is taken, the rest being the matrix: all where leave-one-out falls by a quarter, a quarter
 * where it does not fall. Noise of the readings moves the two matches by different errors, and where sensors are alike it is
 * most of what either leaves: the mean of both is then better than either.
 *
 * @param ratio leave-one-out mean of the informed match over that of the matrix
 */
export const informedShare = (ratio: number): number => Math.min(Math.max(3.25 - 3 * ratio, 0), 1)

/**
 * θ of `share` parts of a root-polynomial match (coefficients row by row, then the lift) and the rest of an affine one (rows
 * of B, t). Their lifts are blended too, and not the light that they add: near black a root-polynomial match is steep.
 */
export function blend(root: Float64Array, affine: Float64Array, share: number): Float64Array {
  const columns = (root.length - 3) / 3
  const theta = root.map((value) => share * value)
  for (let c = 0; c < 3; c++)
    for (let i = 0; i < 3; i++) theta[c * columns + i]! += (1 - share) * affine[4 * c + i]!
  const row = (c: number): [number, number, number] => [
    affine[4 * c]!,
    affine[4 * c + 1]!,
    affine[4 * c + 2]!,
  ]
  const back: Mat3 | undefined = invert3([row(0), row(1), row(2)])
  const lift = back === undefined ? [0, 0, 0] : apply3(back, [affine[3]!, affine[7]!, affine[11]!])
  for (let c = 0; c < 3; c++) theta[3 * columns + c]! += (1 - share) * lift[c]!
  return theta
}
