import { primariesConversion, resolvePrimaries } from '../colour/primaries.ts'
import { viewing } from '../colour/viewing.ts'
import { ln } from '../elementary/ln.ts'
import { encodeRgb } from '../encoding/encoding.ts'
import { apply3, inverse3, type Vec3 } from '../linear/mat3.ts'
import type { MatchInput } from '../match/matchInput.ts'
import type { FittedMatch, Setting } from '../match/result.ts'
import { patchLights } from '../samples/patchLights.ts'
import { levenbergMarquardt } from '../solver/levenbergMarquardt.ts'
import { worthShooting, worthTurning } from './adviseTurn.ts'
import { builtInMatrices } from './chain/builtInMatrices.ts'
import {
  type Chain,
  type Curve,
  curveOf,
  hasPedestal,
  matrixOfTerms,
  termsOfMatrix,
  turnSignal,
} from './chain/chain.ts'
import { type ChainOrder, chainOrders } from './chain/chainOrder.ts'
import { firstMatrices, logDeterminantOf, precisely, roughly } from './chain/learnChain.ts'
import { learnProblem, sharedNumbers } from './chain/learnProblem.ts'
import {
  type ControlGroup,
  controlNames,
  type TurnGroup,
  turnNameOf,
  turnOfNumbers,
  turnOnly,
  turnSize,
  turnSpread,
} from './controls.ts'
import { type Controls, panelOf, snapped } from './panel.ts'
import type { ShotSignal } from './shot/shotSignal.ts'
import { sightOf } from './sight.ts'
import { stagesDown, type TurnStage } from './stagesDown.ts'
import { withFilter } from './withFilter.ts'

/** What was not turned, as a share of that. */
const still = 1e-4
/** Two readings of one chart by one camera differ by this in the signal, and more where its light has changed. */
const leastSpread = 0.0015
/** A search that is made roughly may leave the evidence so much too low. */
const roughness = 2

/**
 * What to set at a camera so that its chart is again what it was: which controls were turned since is told by the evidence of
 * every choice of them (Laplace), since mostly it was one or two, and they are turned back.
 *
 * @param input of now; the target is the camera's own light of then, in the working primaries. @param match which patches count
 */
export function settingBack(
  { chart, readings, encoding, target, working }: MatchInput,
  { declared, view, patches }: Pick<FittedMatch, 'declared' | 'view' | 'patches'>,
  { clippedShare, controls }: { readonly clippedShare?: number; readonly controls?: Controls } = {},
): Setting {
  const panel = panelOf(controls)
  const ofControls = controls === undefined ? {} : { controls }
  const curve = curveOf(encoding)
  const lights = new Map(
    patchLights(chart, readings, encoding, clippedShare)
      .filter(({ unusable }) => unusable === undefined)
      .map(({ patch, light }) => [patch, light]),
  )
  const codes = new Map(readings.patches.map(({ patch, rgb }) => [patch, rgb]))
  const toCamera = inverse3(declared)
  const used = patches.filter(({ patch, excluded }) => excluded === undefined && lights.has(patch))
  const aims = used.map(({ patch }) => target.light.get(patch)!)
  const then = Float64Array.from(aims.flatMap((aim) => [...encodeRgb(encoding, apply3(toCamera, aim))]))
  const now = Float64Array.from(used.flatMap(({ patch }) => [...codes.get(patch)!]))
  const sight = sightOf(
    curve,
    declared,
    viewing(working, view),
    aims.flatMap((aim: Vec3) => [...aim]),
    used.map(() => 1),
  )
  const whole = sight.mean(now)
  const none: Setting = {
    turn: turnOfNumbers(new Float64Array(turnSize)),
    stages: [],
    now: whole,
    expected: whole,
    ...ofControls,
  }

  const toPrimaries = primariesConversion(resolvePrimaries('bt709'), encoding.primaries)
  const firsts = firstMatrices(builtInMatrices, toPrimaries)
  const groups = controlNames.filter(
    (name) => panel.groups.includes(name) && (name !== 'pedestal' || hasPedestal(curve)),
  )
  // Those that others are a part of come first.
  const choices = subsetsOf(groups).reverse()
  // Nothing is known of the pedestal but what is usual.
  const unknown = { pedestal: [0, 0, 0], pedestalError: [1, 1, 1] }
  const shots: ShotSignal[] = [
    { signal: above(then, now), ...unknown, asked: new Float64Array(turnSize) },
    { signal: now, ...unknown },
  ]
  const explain = (
    order: ChainOrder,
    turned: readonly ControlGroup[],
    signal: number,
    start: ArrayLike<number>,
    limits: typeof precisely,
  ) => {
    const strength = strengthOf(curve, turned)
    const problem = learnProblem(curve, shots, firsts[order], strength, { signal, pedestal: 0 })
    const { theta, cost, jacobian } = levenbergMarquardt(problem, start, limits)
    const evidence = ln(chainOrders[order]) - (cost + logDeterminantOf(jacobian, strength)) / 2
    return { order, turned, theta, cost, evidence, rows: problem.residuals, chain: problem.chain(theta) }
  }
  const orders = panel.order === undefined ? (Object.keys(chainOrders) as ChainOrder[]) : [panel.order]
  const better = <T extends { evidence: number }>(a: T, b: T) => (b.evidence > a.evidence ? b : a)
  // How far the fullest explanation is off says how much the readings scatter.
  const nowhere = new Float64Array(sharedNumbers + turnSize)
  const full = orders.map((order) => explain(order, groups, leastSpread, nowhere, precisely))
  const fullest = full.reduce(better)
  const spread = leastSpread * Math.max(1, Math.sqrt(fullest.cost / fullest.rows))
  let likeliest: ReturnType<typeof explain> | undefined
  for (const { order, theta } of full) {
    const tried: ReturnType<typeof explain>[] = []
    for (const turned of choices) {
      // Some of the controls explain no better than more of them do, and no evidence is above what is explained.
      const above = tried.filter((one) => turned.every((name) => one.turned.includes(name)))
      const most = ln(chainOrders[order]) - Math.max(0, ...above.map(({ cost }) => cost)) / 2
      if (likeliest !== undefined && most < likeliest.evidence - roughness) continue
      const one = explain(order, turned, spread, onlyOf(theta, turned), roughly)
      tried.push(one)
      likeliest = likeliest === undefined ? one : better(likeliest, one)
    }
  }
  // All controls of the first order are always tried.
  const { order, turned, theta } = likeliest!
  const best = explain(order, turned, spread, theta, precisely)
  const u = snapped(turnedBack(best.theta.slice(sharedNumbers), best.turned), panel)
  const stages = stagesOf(curve, now, best.chain, u, best.turned, sight.mean)
  const expected = stages.at(-1)?.expected ?? whole
  return whole - expected < worthShooting
    ? none
    : {
        turn: turnOfNumbers(u),
        stages: withFilter(stages, best.chain, u, encoding.primaries),
        now: whole,
        expected,
        ...ofControls,
      }
}

/** Patches of an earlier shot at or under black may have been cut off: they teach nothing. */
function above(signal: Float64Array, other: Float64Array): Float64Array {
  return signal.map((value, i) => {
    const p = i - (i % 3)
    const least = Math.min(...signal.subarray(p, p + 3), ...other.subarray(p, p + 3))
    return least <= 0 ? Number.NaN : value
  })
}

/** Every choice of some of them, none and all included. */
const subsetsOf = (groups: readonly ControlGroup[]): ControlGroup[][] =>
  Array.from({ length: 1 << groups.length }, (_, choice) =>
    groups.filter((_group, i) => (choice >> i) % 2 === 1),
  )

/** The prior of each number of the chain to 0, where these controls were turned and the others were not. */
function strengthOf(curve: Curve, turned: readonly ControlGroup[]): Float64Array {
  return Float64Array.from({ length: sharedNumbers + turnSize }, (_, j) => {
    if (j < 10) return 1
    if (j < sharedNumbers) return 1 / curve.pedestalSpread
    const i = j - sharedNumbers
    const moved = (turned as readonly TurnGroup[]).includes(turnNameOf[i]!)
    return 1 / (turnSpread[i]! * (moved ? 1 : still))
  })
}

/** What is explained by these controls alone is near what is explained by all. */
const onlyOf = (theta: Float64Array, turned: readonly ControlGroup[]): Float64Array =>
  Float64Array.of(...theta.subarray(0, sharedNumbers), ...turnOnly(theta.subarray(sharedNumbers), turned))

/** The turn that undoes another: it meets the chain as that has left it. */
function turnedBack(done: Float64Array, turned: readonly ControlGroup[]): Float64Array {
  const back = done.map((value) => -value)
  back.set(termsOfMatrix(inverse3(matrixOfTerms(done))), 3)
  return turnOnly(back, turned)
}

/** The groups in the order in which to turn them; those that bring nothing are left alone. */
function stagesOf(
  curve: Curve,
  signal: Float64Array,
  chain: Chain,
  u: Float64Array,
  turned: readonly ControlGroup[],
  mean: (signal: ArrayLike<number>) => number,
): TurnStage[] {
  const out = new Float64Array(signal.length)
  const expected = (groups: readonly ControlGroup[]) => {
    turnSignal(curve, signal, chain, turnOnly(u, groups), out)
    return mean(out)
  }
  let groups = controlNames.filter((name) => turned.includes(name))
  for (const group of [...groups]) {
    const rest = groups.filter((other) => other !== group)
    if (expected(rest) - expected(groups) > worthTurning) continue
    groups = rest
  }
  const stages = stagesDown(
    mean(signal),
    groups.map((group, i) => ({ group, expected: expected(groups.slice(0, i + 1)) })),
  )
  u.set(turnOnly(u, groups.slice(0, stages.length)))
  return stages
}
