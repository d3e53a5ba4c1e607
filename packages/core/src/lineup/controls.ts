import { exp } from '../elementary/exp.ts'
import { ln } from '../elementary/ln.ts'
import type { Shape } from '../shape/shape.ts'
import type { matrixTerms, turn } from '../shape/turn.ts'

/** The six off-diagonal terms of a matrix whose rows sum to 1 (or, for a change, to 0): `rg` is green into red. */
export interface MatrixTerms extends Shape<typeof matrixTerms> {}

/** What is to be turned at a camera. Zeros and ones turn nothing. */
export interface Turn extends Shape<typeof turn> {}

/** A turn as twelve numbers: stops, ln of the two gains, six terms, three pedestals. */
export const turnSize = 12

/** The controls as they stand on a panel, with their places in the twelve numbers. */
export const controlGroups = {
  pedestal: [9, 10, 11],
  exposure: [0],
  gains: [1, 2],
  matrix: [3, 4, 5, 6, 7, 8],
} as const

export type ControlGroup = keyof typeof controlGroups

export const controlNames = Object.keys(controlGroups) as ControlGroup[]

/** Index of the group of each of the twelve numbers in `controlNames`. */
export const groupOf: readonly number[] = Array.from({ length: turnSize }, (_, i) =>
  controlNames.findIndex((name) => (controlGroups[name] as readonly number[]).includes(i)),
)

/** By how much somebody who turns a control turns it: standard deviations in stops, ln gain, terms, signal; common practice, no source. */
export const turnSpread = Float64Array.from({ length: turnSize }, (_, i) =>
  i === 0 ? 0.5 : i < 3 ? 0.1 : i < 9 ? 0.05 : 0.02,
)
export function numbersOfTurn({ exposure, red, blue, matrix, pedestal }: Turn): Float64Array {
  const { rg, rb, gr, gb, br, bg } = matrix
  return Float64Array.of(exposure, ln(red), ln(blue), rg, rb, gr, gb, br, bg, ...pedestal)
}

/** @param u twelve numbers. */
export function turnOfNumbers(u: ArrayLike<number>): Turn {
  return {
    exposure: u[0]!,
    red: exp(u[1]!),
    blue: exp(u[2]!),
    matrix: { rg: u[3]!, rb: u[4]!, gr: u[5]!, gb: u[6]!, br: u[7]!, bg: u[8]! },
    pedestal: [u[9]!, u[10]!, u[11]!],
  }
}
