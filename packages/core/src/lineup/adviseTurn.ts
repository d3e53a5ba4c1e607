import { apply3, diagonal3, inverse3, multiply3 } from '../linear/mat3.ts'
import { seededRandom } from '../random.ts'
import { levenbergMarquardt } from '../solver/levenbergMarquardt.ts'
import { type Curve, hasPedestal, turnSignal } from './chain.ts'
import { type ControlGroup, controlGroups, controlNames, groupOf, turnSize } from './controls.ts'
import type { ChainBelief } from './learnChain.ts'
import type { OneShot } from './oneShot.ts'
import type { Sight } from './sight.ts'
import { type PossibleCamera, turnProblem } from './turnProblem.ts'

/** What to turn, and what is expected of it. */
export interface TurnAdvice {
  readonly u: Float64Array
  /** Mean ΔE00 now, and expected after the turn. */
  readonly now: number
  readonly expected: number
  /** In the order in which to turn: the mean ΔE00 expected of somebody who stops after this group of controls. */
  readonly stages: readonly { readonly group: ControlGroup; readonly expected: number }[]
}

/** Controls are not turned further than this at once: stops, ln gain, terms, signal. */
const bounds = Float64Array.from({ length: turnSize }, (_, i) =>
  i === 0 ? 4 : i < 3 ? 0.9 : i < 9 ? 0.35 : 0.12,
)
/** A group of controls that brings less than this in ΔE00 is left alone … */
export const worthTurning = 0.02
/** … and so is the camera where all together bring less than this. */
export const worthShooting = 0.06
const possibles = 10

/**
 * The turn with the least expected ΣΔE00² over all that the camera may be: where that is known it is the exact
 * remedy, where it is not, it is as bold as pays.
 */
export function adviseTurn(
  curve: Curve,
  signal: Float64Array,
  sight: Sight,
  shot: OneShot,
  beliefs: readonly ChainBelief[],
): TurnAdvice {
  const cameras = drawCameras(beliefs)
  const size = signal.length
  const out = new Float64Array(size)
  const acting = new Float64Array(turnSize)
  const turned = ({ chain, acts }: PossibleCamera, u: ArrayLike<number>): boolean => {
    for (let i = 0; i < turnSize; i++) acting[i] = u[i]! * acts[groupOf[i]!]!
    return turnSignal(curve, signal, chain, acting, out)
  }
  const expected = (u: ArrayLike<number>) =>
    cameras.reduce((sum, camera) => sum + (turned(camera, u) ? sight.mean(out) : 1e3), 0) / cameras.length
  const now = sight.mean(signal)

  const solve = (groups: readonly ControlGroup[], start: Float64Array): Float64Array => {
    const free = groups.flatMap((name) => [...controlGroups[name]])
    const u = new Float64Array(turnSize)
    const strength = Float64Array.from(free, (i) => 0.3 / bounds[i]!)
    const { theta } = levenbergMarquardt(
      turnProblem(curve, signal, sight, cameras, free, strength),
      free.map((i) => start[i]!),
      { maxIterations: 8, costTolerance: 1e-4 },
    )
    for (const [j, i] of free.entries()) u[i] = Math.min(Math.max(theta[j]!, -bounds[i]!), bounds[i]!)
    return u
  }

  let groups = controlNames.filter((name) => name !== 'pedestal' || hasPedestal(curve))
  let u = solve(groups, closedForm(shot, beliefs))
  let best = expected(u)
  for (const name of [...groups]) {
    const rest = groups.filter((other) => other !== name)
    if (rest.length === 0) break
    const without = u.map((value, i) => (controlNames[groupOf[i]!] === name ? 0 : value))
    if (expected(without) - best > 4 * worthTurning) continue
    const again = solve(rest, without)
    const value = expected(again)
    if (value - best > worthTurning) continue
    groups = rest
    u = again
    best = value
  }
  if (now - best < worthShooting) return { u: new Float64Array(turnSize), now, expected: now, stages: [] }
  const stages = controlNames
    .filter((name) => groups.includes(name))
    .map((group, i, turnedGroups) => {
      const sofar = turnedGroups.slice(0, i + 1)
      return {
        group,
        expected: expected(u.map((value, j) => (sofar.includes(controlNames[groupOf[j]!]!) ? value : 0))),
      }
    })
  return { u, now, expected: best, stages }
}

/** Cameras drawn from what is believed, the same every time. */
function drawCameras(beliefs: readonly ChainBelief[]): PossibleCamera[] {
  let drawn = new Float64Array(0)
  const random = seededRandom(20_231)
  const normal = () => Math.sqrt(-2 * Math.log(random())) * Math.cos(2 * Math.PI * random())
  return Array.from({ length: possibles }, (_, s) => {
    // Orders take their share of the draws by their probability.
    let at = (s + 0.5) / possibles
    const belief =
      beliefs.find(({ probability }) => {
        at -= probability
        return at <= 0
      }) ?? beliefs.at(-1)!
    const m = belief.theta.length
    // Each draw is met by its opposite, so that the middle of them is the best guess.
    const sign = s % 2 === 0 ? 1 : -1
    if (sign > 0) drawn = Float64Array.from({ length: m }, normal)
    const theta = belief.theta.map((value, i) => {
      let sum = value
      for (let k = 0; k <= i; k++) sum += sign * belief.factor[i * m + k]! * drawn[k]!
      return sum
    })
    return { chain: belief.chain(theta), acts: theta.slice(6, 10).map(Math.exp) }
  })
}

/** The exact remedy for the likeliest camera: G = (B⁻¹·1) ⊘ (B⁻¹·K⁻¹·1), Δ = K·(B·diag(G)·B⁻¹)⁻¹ − I. */
function closedForm(shot: OneShot, beliefs: readonly ChainBelief[]): Float64Array {
  const belief = beliefs.reduce((a, b) => (b.probability > a.probability ? b : a))
  const { behind, pedestal } = belief.chain(belief.theta)
  const inverse = inverse3(behind)
  const to = apply3(inverse, [1, 1, 1])
  const from = apply3(inverse, apply3(inverse3(shot.matrix), [1, 1, 1]))
  const u = new Float64Array(turnSize)
  const gains = [to[0] / from[0], to[1] / from[1], to[2] / from[2]]
  if (!gains.every((gain) => gain > 0)) return u
  u[0] = Math.log2(gains[1]!)
  u[1] = Math.log(gains[0]! / gains[1]!)
  u[2] = Math.log(gains[2]! / gains[1]!)
  const scaled = multiply3(behind, diagonal3([gains[0]!, gains[1]!, gains[2]!]))
  const delta = multiply3(shot.matrix, inverse3(multiply3(scaled, inverse)))
  ;[u[3], u[4], u[5], u[6], u[7], u[8]] = [
    delta[0][1],
    delta[0][2],
    delta[1][0],
    delta[1][2],
    delta[2][0],
    delta[2][1],
  ]
  for (let c = 0; c < 3; c++) u[9 + c] = -pedestal[c]!
  for (let i = 0; i < turnSize; i++) u[i]! /= Math.exp(belief.theta[6 + groupOf[i]!]!)
  return u
}
