import { deltaE00 } from '../colour/deltaE00.ts'
import type { Lab65 } from '../colour/lab.ts'
import { pow } from '../elementary/pow.ts'
import { determinant3, type Mat3, type Vec3 } from '../linear/mat3.ts'
import { leastSquares } from '../solver/leastSquares.ts'
import type { ChartLights } from './relabellings.ts'

/** How well lift, gain and matrix take one list of lights to another. */
export interface AffineQuality {
  /** ΔE00 of a patch, root mean square for the degrees of freedom left. */
  readonly scatter: number
  /** Do colours keep their sense of turning? Where they do not, no match may be made of it. */
  readonly proper: boolean
  /** Mean ΔE00 of the patches. */
  readonly mean: number
  readonly matrix: Mat3
}

/** With fewer patches any order of them can be fitted. */
const fewest = 9

/** Closed form, in linear light weighted as the eye weights it. `undefined` where patches in common are too few. */
export function affineQuality(
  from: ChartLights,
  to: ChartLights,
  lab: (light: Vec3) => Lab65,
  levelsOnly = false,
): AffineQuality | undefined {
  const pairs = from.flatMap((light, i) => {
    const aim = to[i]
    return light === undefined || aim === undefined ? [] : [[light, aim] as const]
  })
  if (pairs.length < fewest) return undefined
  const weights = pairs.map(([, aim]) => pow(Math.abs(aim[0] + aim[1] + aim[2]) / 3 + 0.01, -4 / 3))
  const rows = levelsOnly ? undefined : rowsOf(pairs, weights)
  const { matrix, lift } = rows ?? levelsOf(pairs, weights)
  const squares = pairs.map(([light, aim]) => deltaE00(lab(apply(matrix, lift, light)), lab(aim)))
  const free = Math.max(3 * pairs.length - (rows === undefined ? 6 : 12), 1) / 3
  const sum = squares.reduce((total, dE) => total + dE * dE, 0)
  return {
    scatter: Math.sqrt(sum / free),
    proper: determinant3(matrix) > 0,
    mean: squares.reduce((total, dE) => total + dE, 0) / pairs.length,
    matrix,
  }
}

type Pairs = readonly (readonly [Vec3, Vec3])[]

/** `undefined` where the patches do not carry a matrix. */
function rowsOf(pairs: Pairs, weights: readonly number[]): { matrix: Mat3; lift: Vec3 } | undefined {
  const { solution, rank, condition } = leastSquares(
    pairs.map(([light]) => [...light, 1]),
    pairs.map(([, aim]) => aim),
    weights,
  )
  if (rank < 4 || condition > 1000) return undefined
  const row = (c: number): Vec3 => [solution[0]![c]!, solution[1]![c]!, solution[2]![c]!]
  return { matrix: [row(0), row(1), row(2)], lift: [solution[3]![0]!, solution[3]![1]!, solution[3]![2]!] }
}

/** Lift and gain of each channel. */
function levelsOf(pairs: Pairs, weights: readonly number[]): { matrix: Mat3; lift: Vec3 } {
  const of = (c: 0 | 1 | 2) => {
    const { solution } = leastSquares(
      pairs.map(([light]) => [light[c], 1]),
      pairs.map(([, aim]) => [aim[c]]),
      weights,
    )
    // A gain below zero makes white of black.
    return [Math.max(solution[0]![0]!, 0), solution[1]![0]!] as const
  }
  const [r, g, b] = [of(0), of(1), of(2)]
  return {
    matrix: [
      [r[0], 0, 0],
      [0, g[0], 0],
      [0, 0, b[0]],
    ],
    lift: [r[1], g[1], b[1]],
  }
}

function apply(m: Mat3, lift: Vec3, [r, g, b]: Vec3): Vec3 {
  const row = (c: 0 | 1 | 2) => m[c][0] * r + m[c][1] * g + m[c][2] * b + lift[c]
  return [row(0), row(1), row(2)]
}
