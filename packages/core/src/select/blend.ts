import { apply3, invert3, type Mat3 } from '../linear/mat3.ts'

/**
 * How much of an informed match is taken, the rest being the matrix: all where leave-one-out falls by a quarter, a quarter
 * where it does not fall. Noise of the readings moves the two matches by different errors, and where sensors are alike it is
 * most of what either leaves: the mean of both is then better than either. Where the matrix leaves much less of other
 * materials than of the chart itself, what it leaves of the chart is noise, and there is little to better: without noise the
 * second ratio is 0.65 and more.
 *
 * @param ratio leave-one-out mean of the informed match over that of the matrix
 * @param unseen mean ΔE00 that the matrix is told to leave of other materials over the root mean square that it leaves of
 * the chart
 */
export const informedShare = (ratio: number, unseen: number): number =>
  Math.max(Math.min(3.25 - 3 * ratio, (unseen - 0.35) / 0.25, 1), 0)

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
