import { ln } from '../elementary/ln.ts'
import type { LeastSquaresProblem } from '../solver/leastSquaresProblem.ts'
import { bendOf, bendSlope, type Chain, type Curve, turnedMatrix } from './chain/chain.ts'
import { flareAt, gammaAt, groupOf, turnSize, wholeTurn } from './controls.ts'
import { curveSlope } from './shot/curveSlope.ts'
import type { Sight } from './sight.ts'

/** A possible camera: its chain, and how much each of the four groups of controls acts. */
export interface PossibleCamera {
  readonly chain: Chain
  readonly acts: ArrayLike<number>
  /** How much flare and gamma act. */
  readonly bends: readonly [number, number]
}

/**
 * ΣΔE00² of a shot after a turn, over all that the camera may be.
 *
 * @param signal of the shot, three code values per patch. @param free which of a turn's fourteen numbers may change; the
 * others are 0. @param strength of the prior to no turn, one for each of these.
 */
export function turnProblem(
  curve: Curve,
  signal: Float64Array,
  sight: Sight,
  cameras: readonly PossibleCamera[],
  free: readonly number[],
  strength: Float64Array,
): LeastSquaresProblem {
  const size = signal.length
  const n = free.length
  // What does not depend on the turn: the light before it.
  const before = cameras.map(({ chain }) =>
    signal.map((code, i) => curve.decode(code - chain.pedestal[i % 3]!, (i % 3) as 0)),
  )
  const u = new Float64Array(wholeTurn)
  const shareOf = (s: number, i: number) => {
    const { acts, bends } = cameras[s]!
    return i < turnSize ? acts[groupOf[i]!]! : bends[i === flareAt ? 0 : 1]
  }
  const light = new Float64Array(3)
  const slope = new Float64Array(9)
  /** What a part of a turn moves the light on screen by. */
  const moved = new Float64Array(3)
  /** Of the light on screen by that before the pedestal, and by the pedestal. */
  const bySignal = new Float64Array(3)
  const byLight = new Float64Array(3)
  /** Of the same by ln gamma. */
  const byGamma = new Float64Array(3)
  return {
    parameters: n,
    residuals: cameras.length * size,
    prior: { strength, centre: new Float64Array(n) },
    evaluate(theta, residuals, jacobian) {
      for (const [s, { chain }] of cameras.entries()) {
        for (const [j, i] of free.entries()) u[i] = theta[j]! * shareOf(s, i)
        const turned = turnedMatrix(chain.afterGains, u)
        if (turned === undefined) return false
        const { matrix, slopes } = turned
        const bend = bendOf(u)
        const from = before[s]!
        for (let p = 0; p < size; p += 3) {
          const [r, g, b] = [from[p]!, from[p + 1]!, from[p + 2]!]
          for (let c = 0; c < 3; c++) {
            const channel = c as 0
            const row = matrix[channel]
            const inside = row[0] * r + row[1] * g + row[2] * b
            const straight = bend(inside)
            const code = curve.encode(straight, channel)
            const shown = code + chain.pedestal[c]! + u[9 + c]!
            light[c] = curve.decode(shown, channel)
            bySignal[c] = curveSlope(curve, shown, channel)
            const inner = curveSlope(curve, code, channel)
            const outer = inner === 0 ? 0 : bySignal[c]! / inner
            byLight[c] = outer * bendSlope(u, inside)
            byGamma[c] = outer * straight * ln(Math.max(Math.abs(straight), 1e-6))
          }
          const at = s * size + p
          sight.ofLight(p / 3, light, residuals, at, slope)
          if (!(Number.isFinite(residuals[at]!) && Number.isFinite(residuals[at + 1]!))) return false
          for (const [j, i] of free.entries()) {
            const share = shareOf(s, i)
            for (let c = 0; c < 3; c++) {
              if (i === gammaAt) moved[c] = share * byGamma[c]!
              else if (i === flareAt) moved[c] = share * byLight[c]!
              else if (i >= 9) moved[c] = i - 9 === c ? share * bySignal[c]! : 0
              else {
                const row = slopes[i]![c as 0]
                moved[c] = share * byLight[c]! * (row[0] * r + row[1] * g + row[2] * b)
              }
            }
            for (let k = 0; k < 3; k++)
              jacobian[(at + k) * n + j] =
                slope[3 * k]! * moved[0]! + slope[3 * k + 1]! * moved[1]! + slope[3 * k + 2]! * moved[2]!
          }
        }
      }
      return true
    },
  }
}
