import { primariesConversion, resolvePrimaries } from '../colour/primaries.ts'
import { viewer } from '../colour/viewer.ts'
import { apply3, inverse3, type Vec3 } from '../linear/mat3.ts'
import { matchCamera, type MatchInput } from '../match/matchCamera.ts'
import type { FitOptions } from '../match/options.ts'
import type { Readings } from '../readings.ts'
import { adviseTurn, type TurnAdvice } from './adviseTurn.ts'
import { builtInMatrices } from './builtInMatrices.ts'
import { curveOf } from './chain.ts'
import { numbersOfTurn, type Turn, turnOfNumbers } from './controls.ts'
import { type ChainBelief, learnChain, type MatrixPrior } from './learnChain.ts'
import { oneShot } from './oneShot.ts'
import { sightOf } from './sight.ts'

/** An earlier shot of the same camera, and what was then to be turned. */
export interface EarlierRound {
  readonly readings: Readings
  readonly asked: Turn
}

export interface LineUpRound {
  readonly turn: Turn
  readonly advice: TurnAdvice
  /** Mean ΔE00 that a LUT of this shot would leave. */
  readonly withLut: number
  readonly beliefs: readonly ChainBelief[]
}

export interface LineUpOptions extends FitOptions {
  /** What makers build in; default as measured sensors have it. */
  readonly prior?: MatrixPrior
}

/** Where a camera stands against its target by this shot, and what to turn before the next. */
export function lineUp(
  input: MatchInput,
  earlier: readonly EarlierRound[] = [],
  { prior = builtInMatrices, ...options }: LineUpOptions = {},
): LineUpRound {
  const { encoding, target, working } = input
  const match = matchCamera(input, options)
  const declared = match.declared
  const used = match.patches.filter(({ excluded, weight }) => excluded === undefined && weight > 0)
  const names = used.map(({ patch }) => patch)
  const signalOf = (readings: Readings) => {
    const of = new Map(readings.patches.map(({ patch, rgb }) => [patch, rgb]))
    return Float64Array.from(names.flatMap((name) => [...(of.get(name) ?? [Number.NaN, Number.NaN, Number.NaN])]))
  }
  const curve = curveOf(encoding)
  const aims = names.map((name) => target.light.get(name)!)
  const toCamera = inverse3(declared)
  const targetInCamera = aims.flatMap((aim: Vec3) => [...apply3(toCamera, aim)])
  const sight = sightOf(
    curve,
    declared,
    viewer(working, match.view),
    aims.flatMap((aim) => [...aim]),
    used.map(({ weight }) => weight),
  )
  const readings = [...earlier.map((round) => round.readings), input.readings]
  const shots = readings.map((one, i) => {
    const signal = signalOf(one)
    const shot = oneShot(curve, signal, sight, targetInCamera)
    return { shot, signal, asked: earlier[i] === undefined ? undefined : numbersOfTurn(earlier[i].asked) }
  })
  const beliefs = learnChain(
    curve,
    shots.map(({ shot, signal, asked }) => ({
      signal,
      pedestal: shot.pedestal,
      ...(asked === undefined ? {} : { asked }),
    })),
    prior,
    primariesConversion(resolvePrimaries('bt709'), encoding.primaries),
  )
  const { signal, shot } = shots.at(-1)!
  const advice = adviseTurn(curve, signal, sight, shot, beliefs)
  return { turn: turnOfNumbers(advice.u), advice, withLut: match.summary.after.mean, beliefs }
}
