import { exp } from '../elementary/exp.ts'
import { ln } from '../elementary/ln.ts'
import type { Shape } from '../shape/shape.ts'
import type { matrixTerms, turn } from '../shape/turn.ts'

/** The six off-diagonal terms of a matrix whose rows sum to 1 (or, for a change, to 0): `rg` is green into red. */
export interface MatrixTerms extends Shape<typeof matrixTerms> {}

/** What is to be turned at a camera. Zeros and ones turn nothing. */
export interface Turn extends Shape<typeof turn> {}

/** What is learnt of a turn are twelve numbers: stops, ln of the two gains, six terms, three pedestals. */
export const turnSize = 12
/** Two more are taken as asked: light to be added, ln gamma. */
export const flareAt = 12
export const gammaAt = 13
export const wholeTurn = 14

/** The controls as they stand on a panel, with their places in the twelve numbers. */
export const controlGroups = {
  pedestal: [9, 10, 11],
  exposure: [0],
  gains: [1, 2],
  matrix: [3, 4, 5, 6, 7, 8],
} as const

export type ControlGroup = keyof typeof controlGroups

/** What is turned by itself, in the order in which to turn it, with its places in the fourteen numbers. */
export const turnGroups = {
  pedestal: controlGroups.pedestal,
  flare: [flareAt],
  exposure: controlGroups.exposure,
  gains: controlGroups.gains,
  gamma: [gammaAt],
  matrix: controlGroups.matrix,
} as const

export type TurnGroup = keyof typeof turnGroups

export const turnNames = Object.keys(turnGroups) as TurnGroup[]

/** Which of these each of the fourteen numbers is of. */
export const turnNameOf: readonly TurnGroup[] = Array.from(
  { length: wholeTurn },
  (_, i) => turnNames.find((name) => (turnGroups[name] as readonly number[]).includes(i))!,
)

/** A turn of these controls alone. */
export const turnOnly = (u: Float64Array, groups: readonly TurnGroup[]): Float64Array =>
  u.map((value, i) => (groups.includes(turnNameOf[i]!) ? value : 0))

export const controlNames = Object.keys(controlGroups) as ControlGroup[]

/** Index of the group of each number in `controlNames`: flare is turned with the pedestal, gamma after the gains. */
export const groupOf: readonly number[] = turnNameOf.map((name) =>
  controlNames.indexOf(name === 'flare' ? 'pedestal' : name === 'gamma' ? 'gains' : name),
)

/** By how much somebody who turns a control turns it: standard deviations in stops, ln gain, terms, signal; common practice, no source. */
export const turnSpread = Float64Array.from({ length: turnSize }, (_, i) =>
  i === 0 ? 0.5 : i < 3 ? 0.1 : i < 9 ? 0.05 : 0.02,
)

export function numbersOfTurn({
  exposure,
  red,
  blue,
  matrix,
  pedestal,
  flare = 0,
  gamma = 1,
}: Turn): Float64Array {
  const { rg, rb, gr, gb, br, bg } = matrix
  return Float64Array.of(exposure, ln(red), ln(blue), rg, rb, gr, gb, br, bg, ...pedestal, flare, ln(gamma))
}

/** @param u fourteen numbers, or the twelve that are learnt. */
export function turnOfNumbers(u: ArrayLike<number>): Turn {
  return {
    exposure: u[0]!,
    red: exp(u[1]!),
    blue: exp(u[2]!),
    matrix: { rg: u[3]!, rb: u[4]!, gr: u[5]!, gb: u[6]!, br: u[7]!, bg: u[8]! },
    pedestal: [u[9]!, u[10]!, u[11]!],
    ...((u[flareAt] ?? 0) === 0 ? {} : { flare: u[flareAt]! }),
    ...((u[gammaAt] ?? 0) === 0 ? {} : { gamma: exp(u[gammaAt]!) }),
  }
}
