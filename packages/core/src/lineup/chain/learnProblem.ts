import { exp } from '../../elementary/exp.ts'
import { hypot } from '../../elementary/hypot.ts'
import { diagonal3, invert3, type Mat3, multiply3 } from '../../linear/mat3.ts'
import type { LeastSquaresProblem } from '../../solver/leastSquaresProblem.ts'
import { groupOf, turnSize } from '../controls.ts'
import { curveSlope } from '../shot/curveSlope.ts'
import type { ShotSignal } from '../shot/shotSignal.ts'
import { bendOf, bendSlope, type Chain, type Curve, gainsOf, matrixOfTerms, turnedMatrix } from './chain.ts'

/**
 * Numbers of the chain that all rounds share: six of the matrix that first stands after the gains, ln of how much each
 * of the four groups of controls acts, three of the first pedestal. Twelve follow for each turn: by how much what was done
 * missed what was asked.
 */
export const sharedNumbers = 13

const terms = 6
const firstAct = 6
const firstPedestal = 10

/** The matrix after the gains before the first turn: `base` and six numbers along `along`. */
export interface FirstMatrix {
  readonly base: Mat3
  readonly along: readonly Mat3[]
}

/** Standard deviations of what the shots say, in the signal: of a patch, and of the pedestal besides its own error. */
export interface ShotSpread {
  readonly signal: number
  readonly pedestal: number
}

export interface LearnProblem extends LeastSquaresProblem {
  /** The chain after the last turn. */
  chain(theta: ArrayLike<number>): Chain
}

/**
 * What the shots of a camera miss its chain by, in standard deviations, with exact derivatives: three rows per shot for its pedestal,
 * and for each turn the signal of the shot after it against what the turn should have made of the shot before.
 *
 * @param shots all but the last with what was asked for after them. @param strength of the prior to 0, one for each number
 */
export function learnProblem(
  curve: Curve,
  shots: readonly ShotSignal[],
  first: FirstMatrix,
  strength: Float64Array,
  spread: ShotSpread,
): LearnProblem {
  const turns = shots.length - 1
  const m = sharedNumbers + turnSize * turns
  const rows = shots.slice(0, -1).reduce((sum, { signal }) => sum + signal.length, 3 * shots.length)
  const errors = shots.map(({ pedestalError }) =>
    Float64Array.from(pedestalError, (error) => hypot(error, spread.pedestal)),
  )
  const u = new Float64Array(turnSize)
  /** Of what was done, by one of the numbers: what is not 0 of it. */
  const done = (theta: ArrayLike<number>, r: number) => {
    const asked = shots[r]!.asked!
    for (let i = 0; i < turnSize; i++)
      u[i] = asked[i]! * exp(theta[firstAct + groupOf[i]!]!) + theta[sharedNumbers + turnSize * r + i]!
  }
  const firstOf = (theta: ArrayLike<number>): Mat3 => {
    let matrix = first.base
    for (let j = 0; j < terms; j++) matrix = plus(matrix, first.along[j]!, theta[j]!)
    return matrix
  }
  /** Derivatives of what stands after the gains, of the pedestal and of the turn's matrix, one row per number. */
  const behindBy = new Float64Array(9 * m)
  const pedestalBy = new Float64Array(3 * m)
  const matrixBy = new Float64Array(9 * m)
  const moved = new Float64Array(6)
  const active = new Int32Array(m)

  return {
    parameters: m,
    residuals: rows,
    prior: { strength, centre: new Float64Array(m) },
    chain(theta) {
      let afterGains = firstOf(theta)
      const pedestal = [theta[10]!, theta[11]!, theta[12]!]
      for (let r = 0; r < turns; r++) {
        done(theta, r)
        afterGains = multiply3(matrixOfTerms(u), afterGains)
        for (let c = 0; c < 3; c++) pedestal[c]! += u[9 + c]!
      }
      return { afterGains, pedestal }
    },
    evaluate(theta, residuals, jacobian) {
      jacobian.fill(0)
      behindBy.fill(0)
      pedestalBy.fill(0)
      let afterGains = firstOf(theta)
      const pedestal = Float64Array.of(theta[10]!, theta[11]!, theta[12]!)
      for (let j = 0; j < terms; j++) behindBy.set(first.along[j]!.flat(), 9 * j)
      for (let c = 0; c < 3; c++) pedestalBy[3 * (firstPedestal + c) + c] = 1
      let at = 0
      const told = (s: number, known: number) => {
        for (let c = 0; c < 3; c++, at++) {
          const error = errors[s]![c]!
          residuals[at] = (pedestal[c]! - shots[s]!.pedestal[c]!) / error
          for (let j = firstAct; j < known; j++) jacobian[at * m + j] = pedestalBy[3 * j + c]! / error
        }
      }
      told(0, sharedNumbers)
      for (let r = 0; r < turns; r++) {
        const { asked, signal } = shots[r]!
        const next = shots[r + 1]!.signal
        done(theta, r)
        const turned = turnedMatrix(afterGains, u)
        const inverse = invert3(afterGains)
        if (turned === undefined || inverse === undefined) return false
        const { matrix, slopes } = turned
        const known = sharedNumbers + turnSize * (r + 1)
        const own = matrixOfTerms(u)
        // Flare and gamma do as asked: there is seldom one of them, and nothing to learn it from.
        const bend = bendOf(asked!)
        const balanced = multiply3(multiply3(afterGains, diagonal3(gainsOf(u))), inverse)
        // By what stands after the gains: dM = (I + Δ)·(dB·D·B⁻¹ − B·D·B⁻¹·dB·B⁻¹), D the gains.
        const gained = multiply3(diagonal3(gainsOf(u)), inverse)
        for (let j = 0; j < known; j++) {
          const d = matrixAt(behindBy, 9 * j)
          if (d === undefined) {
            matrixBy.fill(0, 9 * j, 9 * j + 9)
            continue
          }
          const change = minus(multiply3(d, gained), multiply3(balanced, multiply3(d, inverse)))
          matrixBy.set(multiply3(own, change).flat(), 9 * j)
        }
        // By the turn itself: its misses, and how much its controls act.
        for (let i = 0; i < 9; i++) {
          const act = firstAct + groupOf[i]!
          const share = asked![i]! * exp(theta[act]!)
          const slope = slopes[i]!.flat()
          for (let k = 0; k < 9; k++) {
            matrixBy[9 * act + k]! += share * slope[k]!
            matrixBy[9 * (sharedNumbers + turnSize * r + i) + k]! += slope[k]!
          }
        }
        // Misses of earlier irises and gains, say, move nothing any more.
        let moving = 0
        for (let j = 0; j < known; j++)
          if (anyOf(matrixBy, 9 * j, 9) || anyOf(pedestalBy, 3 * j, 3)) active[moving++] = j
        for (let p = 0; p < signal.length; p += 3) {
          for (let c = 0; c < 3; c++) {
            const code = signal[p + c]! - pedestal[c]!
            moved[c] = curve.decode(code, c as 0)
            moved[3 + c] = curveSlope(curve, code, c as 0)
          }
          for (let c = 0; c < 3; c++, at++) {
            const channel = c as 0
            const row = matrix[channel]
            const inside = row[0] * moved[0]! + row[1] * moved[1]! + row[2] * moved[2]!
            const shown = curve.encode(bend(inside), channel)
            const off = (shown + pedestal[c]! + u[9 + c]! - next[p + c]!) / spread.signal
            // A patch that clips in either shot says nothing.
            if (Number.isNaN(off)) {
              residuals[at] = 0
              continue
            }
            residuals[at] = off
            const slope = curveSlope(curve, shown, channel)
            const outer = slope === 0 ? 0 : bendSlope(asked!, inside) / slope
            const to = at * m
            for (let k = 0; k < moving; k++) {
              const j = active[k]!
              const b = 9 * j + 3 * c
              const q = 3 * j
              const light =
                matrixBy[b]! * moved[0]! +
                matrixBy[b + 1]! * moved[1]! +
                matrixBy[b + 2]! * moved[2]! -
                row[0] * moved[3]! * pedestalBy[q]! -
                row[1] * moved[4]! * pedestalBy[q + 1]! -
                row[2] * moved[5]! * pedestalBy[q + 2]!
              jacobian[to + j] = (outer * light + pedestalBy[q + c]!) / spread.signal
            }
            const act = firstAct + groupOf[9 + c]!
            jacobian[to + act]! += (asked![9 + c]! * exp(theta[act]!)) / spread.signal
            jacobian[to + sharedNumbers + turnSize * r + 9 + c]! += 1 / spread.signal
          }
        }
        // What stands there after it.
        for (let j = 0; j < known; j++) {
          const d = matrixAt(behindBy, 9 * j)
          if (d !== undefined) behindBy.set(multiply3(own, d).flat(), 9 * j)
        }
        for (let i = 3; i < 9; i++) {
          const act = firstAct + groupOf[i]!
          const share = asked![i]! * exp(theta[act]!)
          const [row, column] = termPlaces[i - 3]!
          for (let k = 0; k < 3; k++) {
            const by = afterGains[column][k as 0] - afterGains[row][k as 0]
            behindBy[9 * act + 3 * row + k]! += share * by
            behindBy[9 * (sharedNumbers + turnSize * r + i) + 3 * row + k]! += by
          }
        }
        const act = firstAct + groupOf[9]!
        for (let c = 0; c < 3; c++) {
          pedestalBy[3 * act + c]! += asked![9 + c]! * exp(theta[act]!)
          pedestalBy[3 * (sharedNumbers + turnSize * r + 9 + c) + c] = 1
          pedestal[c]! += u[9 + c]!
        }
        afterGains = multiply3(own, afterGains)
        told(r + 1, known)
      }
      return true
    },
  }
}

/** Row and column of the six terms rg, rb, gr, gb, br, bg. */
const termPlaces = [
  [0, 1],
  [0, 2],
  [1, 0],
  [1, 2],
  [2, 0],
  [2, 1],
] as const

const plus = (a: Mat3, b: Mat3, by: number): Mat3 => {
  const row = (i: 0 | 1 | 2) =>
    [a[i][0] + by * b[i][0], a[i][1] + by * b[i][1], a[i][2] + by * b[i][2]] as const
  return [row(0), row(1), row(2)]
}

const minus = (a: Mat3, b: Mat3): Mat3 => plus(a, b, -1)

function anyOf(from: Float64Array, at: number, count: number): boolean {
  for (let k = at; k < at + count; k++) if (from[k] !== 0) return true
  return false
}

/** Nine numbers as a matrix; undefined where all are 0. */
function matrixAt(from: Float64Array, at: number): Mat3 | undefined {
  if (!anyOf(from, at, 9)) return undefined
  const row = (i: number) => [from[at + i]!, from[at + i + 1]!, from[at + i + 2]!] as const
  return [row(0), row(3), row(6)]
}
