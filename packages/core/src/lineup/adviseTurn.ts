import { cos } from '../elementary/cos.ts'
import { exp } from '../elementary/exp.ts'
import { ln } from '../elementary/ln.ts'
import { log2 } from '../elementary/log2.ts'
import { apply3, diagonal3, inverse3, multiply3 } from '../linear/mat3.ts'
import { seededRandom } from '../random.ts'
import { levenbergMarquardt } from '../solver/levenbergMarquardt.ts'
import { type Curve, hasPedestal, termsOfMatrix, turnSignal } from './chain/chain.ts'
import { actionSpread, type ChainBelief } from './chain/learnChain.ts'
import {
  flareAt,
  gammaAt,
  groupOf,
  type TurnGroup,
  turnGroups,
  turnNameOf,
  turnNames,
  turnOnly,
  turnSize,
  wholeTurn,
} from './controls.ts'
import { type Panel, snapped } from './panel.ts'
import type { GreyTone } from './shot/greyTone.ts'
import type { OneShot } from './shot/oneShot.ts'
import type { Sight } from './sight.ts'
import { stagesDown, type TurnStage } from './stagesDown.ts'
import { type PossibleCamera, turnProblem } from './turnProblem.ts'

/** What to turn, and what is expected of it. */
export interface TurnAdvice {
  readonly u: Float64Array
  /** Mean ΔE00 now, and expected after the turn. */
  readonly now: number
  readonly expected: number
  /** In the order in which to turn; nobody who does what they say is expected to be worse off on the way. */
  readonly stages: readonly TurnStage[]
}

/** Controls are not turned further than this at once: stops, ln gain, terms, signal, light, ln gamma. */
const bounds = Float64Array.from({ length: wholeTurn }, (_, i) =>
  i === 0 ? 4 : i < 3 ? 0.9 : i < 9 ? 0.35 : i < flareAt ? 0.12 : i === flareAt ? 0.04 : 0.2,
)
/**
 * Flare and gamma are asked for where the grey scale says so: gamma by so many standard errors, flare by so much of the odds …
 */
const bentBy = { gamma: 2.5, flareOdds: 3 }
/** … and the best turn without them would leave so much more. */
const worthBending = 0.1
/** A group of controls that brings less than this in ΔE00 is left alone … */
export const worthTurning = 0.02
/** … and so is the camera where all together bring less than this. */
export const worthShooting = 0.06
/** What a turn brings must be more than so many standard deviations of how it may come out. */
const sure = 1
/**
 * A hand misses by this share of what is allowed for when it is learnt from a shot that has no other explanation: common practice,
 * no source. Of an iris more: half a step of it, 0.025 stop, is 0.3 in ΔE00, and by a small turn of it nothing is won.
 */
const likelyMiss = { pedestal: 0.3, flare: 0, exposure: 0.5, gains: 0.3, gamma: 0, matrix: 0.3 }
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
  panel: Panel,
  tone?: GreyTone,
): TurnAdvice {
  const cameras = drawCameras(beliefs, panel)
  const size = signal.length
  const out = new Float64Array(size)
  const acting = new Float64Array(wholeTurn)
  // What is turned misses by a little; what is not turned does not.
  const turn = ({ chain, acts, bends, misses }: DrawnCamera, u: ArrayLike<number>): boolean => {
    for (let i = 0; i < turnSize; i++) acting[i] = u[i] === 0 ? 0 : u[i]! * acts[groupOf[i]!]! + misses[i]!
    acting[flareAt] = u[flareAt]! * bends[0]
    acting[gammaAt] = u[gammaAt]! * bends[1]
    return turnSignal(curve, signal, chain, acting, out)
  }
  const after = (u: ArrayLike<number>) => cameras.map((camera) => (turn(camera, u) ? sight.mean(out) : 1e3))
  const expected = (u: ArrayLike<number>) => meanOf(after(u))
  const now = sight.mean(signal)

  const solve = (groups: readonly TurnGroup[], start: Float64Array): Float64Array => {
    const free = groups.flatMap((name) => [...turnGroups[name]])
    const u = new Float64Array(wholeTurn)
    const strength = Float64Array.from(free, (i) => 0.3 / bounds[i]!)
    const { theta } = levenbergMarquardt(
      turnProblem(curve, signal, sight, cameras, free, strength),
      free.map((i) => start[i]!),
      { maxIterations: 8, costTolerance: 1e-4 },
    )
    for (const [j, i] of free.entries()) u[i] = Math.min(Math.max(theta[j]!, -bounds[i]!), bounds[i]!)
    return u
  }

  const nothing: TurnAdvice = { u: new Float64Array(wholeTurn), now, expected: now, stages: [] }
  const has = panel.groups.filter((name) => name !== 'pedestal' || hasPedestal(curve))
  const plain: readonly TurnGroup[] = has.filter((name) => name !== 'flare' && name !== 'gamma')
  const start = closedForm(shot, beliefs)
  /** The best turn of these controls, without those that bring too little. */
  const bestOf = (some: readonly TurnGroup[], from: Float64Array) => {
    let groups = some
    let u = solve(groups, from)
    let best = expected(u)
    for (const name of some) {
      const rest = groups.filter((other) => other !== name)
      if (rest.length === 0) break
      const without = u.map((value, i) => (turnNameOf[i] === name ? 0 : value))
      if (expected(without) - best > 4 * worthTurning) continue
      const again = solve(rest, without)
      const value = expected(again)
      if (value - best > worthTurning) continue
      groups = rest
      u = again
      best = value
    }
    return { groups, u, best }
  }
  if (plain.length === 0) return nothing
  const stagesOf = ({ groups, u }: { readonly groups: readonly TurnGroup[]; readonly u: Float64Array }) =>
    groups.map((group, i) => ({ group, expected: expected(turnOnly(u, groups.slice(0, i + 1))) }))
  let found = bestOf(plain, start)
  for (const name of bentControls(tone).filter((one) => has.includes(one))) {
    const from = found.u.slice()
    from[turnGroups[name][0]] = name === 'flare' ? -tone!.flare : -tone!.gamma
    const groups = turnNames.filter(
      (one) => one === name || plain.includes(one) || found.groups.includes(one),
    )
    const bending = bestOf(groups, from)
    // Pedestal, flare and gamma can be far off against each other and come out even: nobody is to be worse off who stops half-way.
    const downhill = () => stagesOf(bending).every((stage) => stage.expected <= now)
    // With a true black it is known what is what; what would be worse half-way is told together.
    if (found.best - bending.best > worthBending && (tone!.byTrueBlack || downhill())) found = bending
  }
  const clicked = bestClicks(found.u, panel, expected)
  const groups = found.groups.filter((name) => turnGroups[name].some((i) => clicked[i] !== 0))
  const stages = stagesDown(now, stagesOf({ groups, u: clicked }))
  const u = turnOnly(
    clicked,
    stages.map(({ group }) => group),
  )
  const possible = after(u)
  const best = meanOf(possible)
  // A step that does not help by more than what it may come out by is left: the next shot would only tell its noise.
  const scatter = Math.sqrt(meanOf(possible.map((value) => (value - best) ** 2)))
  if (now - best < Math.max(worthShooting, sure * scatter)) return nothing
  return { u, now, expected: best, stages }
}

/** Flare and gamma, where the grey scale speaks for them. */
function bentControls(tone: GreyTone | undefined): ('flare' | 'gamma')[] {
  if (tone === undefined) return []
  return [
    ...(tone.flareOdds > bentBy.flareOdds ? (['flare'] as const) : []),
    ...(Math.abs(tone.gamma) > bentBy.gamma * tone.gammaError ? (['gamma'] as const) : []),
  ]
}

const meanOf = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / values.length

/** What can be set of a turn: each control at the click beside it that is best with the others. */
function bestClicks(
  turn: Float64Array,
  panel: Panel,
  expected: (u: ArrayLike<number>) => number,
): Float64Array {
  const u = snapped(turn, panel)
  if (panel.clicks.every((scale) => scale === undefined)) return u
  let best = expected(u)
  for (const [i, scale] of panel.clicks.entries()) {
    if (scale === undefined || turn[i] === 0) continue
    const clicks = Math.round(scale.toClicks(u[i]!))
    const other = clicks + (scale.toClicks(turn[i]!) > clicks ? 1 : -1)
    const before = u[i]!
    u[i] = scale.ofClicks(other)
    const value = expected(u)
    if (value < best) best = value
    else u[i] = before
  }
  return u
}

interface DrawnCamera extends PossibleCamera {
  /** By how much a turn of each control misses. */
  readonly misses: Float64Array
}

/** A draw that stands on the border between two orders is of the first of them, whatever the last digits say. */
const onBorder = 1e-9

/** Cameras drawn from what is believed, the same every time. */
function drawCameras(beliefs: readonly ChainBelief[], { misses }: Panel): DrawnCamera[] {
  let drawn = new Float64Array(0)
  let missed = new Float64Array(0)
  const random = seededRandom(20_231)
  const normalOf = (from: () => number) => () => Math.sqrt(-2 * ln(from())) * cos(2 * Math.PI * from())
  const normal = normalOf(random)
  const spread = normalOf(seededRandom(20_232))
  let bending: readonly number[] = []
  return Array.from({ length: possibles }, (_, s) => {
    // Orders take their share of the draws by their probability.
    let at = (s + 0.5) / possibles
    const belief =
      beliefs.find(({ probability }) => {
        at -= probability
        return at <= onBorder
      }) ?? beliefs.at(-1)!
    const m = belief.theta.length
    // Each draw is met by its opposite, so that the middle of them is the best guess.
    const sign = s % 2 === 0 ? 1 : -1
    if (sign > 0) {
      drawn = Float64Array.from({ length: m }, normal)
      bending = [spread(), spread()]
      missed = misses.map((spread, i) => likelyMiss[turnNameOf[i]!] * spread * normal())
    }
    const theta = belief.theta.map((value, i) => {
      let sum = value
      for (let k = 0; k <= i; k++) sum += sign * belief.factor[i * m + k]! * drawn[k]!
      return sum
    })
    return {
      chain: belief.chain(theta),
      acts: theta.slice(6, 10).map(exp),
      bends: [exp(sign * actionSpread * bending[0]!), exp(sign * actionSpread * bending[1]!)],
      misses: missed.map((value) => sign * value),
    }
  })
}

/** The exact remedy for the likeliest camera: G = (B⁻¹·1) ⊘ (B⁻¹·K⁻¹·1), Δ = K·(B·diag(G)·B⁻¹)⁻¹ − I. */
function closedForm(shot: OneShot, beliefs: readonly ChainBelief[]): Float64Array {
  const belief = beliefs.reduce((a, b) => (b.probability > a.probability ? b : a))
  const { afterGains, pedestal } = belief.chain(belief.theta)
  const inverse = inverse3(afterGains)
  const to = apply3(inverse, [1, 1, 1])
  const from = apply3(inverse, apply3(inverse3(shot.matrix), [1, 1, 1]))
  const u = new Float64Array(wholeTurn)
  const gains = [to[0] / from[0], to[1] / from[1], to[2] / from[2]]
  if (!gains.every((gain) => gain > 0)) return u
  u[0] = log2(gains[1]!)
  u[1] = ln(gains[0]! / gains[1]!)
  u[2] = ln(gains[2]! / gains[1]!)
  const scaled = multiply3(afterGains, diagonal3([gains[0]!, gains[1]!, gains[2]!]))
  const delta = multiply3(shot.matrix, inverse3(multiply3(scaled, inverse)))
  u.set(termsOfMatrix(delta), 3)
  for (let c = 0; c < 3; c++) u[9 + c] = -pedestal[c]!
  for (let i = 0; i < turnSize; i++) u[i]! /= exp(belief.theta[6 + groupOf[i]!]!)
  return u
}
