import { primariesConversion, resolvePrimaries } from '../colour/primaries.ts'
import { viewing } from '../colour/viewing.ts'
import { exp } from '../elementary/exp.ts'
import { apply3, inverse3, type Vec3 } from '../linear/mat3.ts'
import type { MatchInput } from '../match/matchInput.ts'
import type { FitOptions } from '../match/options.ts'
import type { EncodingDoubt } from '../match/result.ts'
import { type ShotMatch, shotMatch } from '../match/shotMatch.ts'
import { misreadError } from '../misread/misreadChart.ts'
import type { Readings } from '../readings.ts'
import { patchLights } from '../samples/patchLights.ts'
import { adviseTurn, type TurnAdvice } from './adviseTurn.ts'
import { builtInMatrices } from './chain/builtInMatrices.ts'
import { curveOf, lightCurve } from './chain/chain.ts'
import type { ChainBelief, MatrixPrior } from './chain/learnChain.ts'
import { whatWasDone } from './chain/whatWasDone.ts'
import { groupOf, numbersOfTurn, type Turn, turnOfNumbers } from './controls.ts'
import { curveDoubt } from './curveDoubt.ts'
import { type Controls, panelOf } from './panel.ts'
import {
  blackOf,
  type GreyWord,
  greyScale,
  type Knee,
  kneeMargin,
  kneeOf,
  trueBlackOf,
  withoutKnee,
} from './shot/greyScale.ts'
import { greyPedestal, greyTone } from './shot/greyTone.ts'
import { oneShot } from './shot/oneShot.ts'
import { sightOf } from './sight.ts'
import { withFilter } from './withFilter.ts'

/** An earlier shot of the same camera, and what was then to be turned. */
export interface EarlierRound {
  readonly readings: Readings
  readonly asked: Turn
  /** How many groups of controls were turned, as a later round has found out. */
  readonly done?: number
  /** Was the camera touched otherwise than was asked before the next shot, as that has told? What is not known is looked for anew. */
  readonly touched?: boolean
}

export interface LineUpRound {
  readonly turn: Turn
  /** Mean ΔE00 of this shot as it is. */
  readonly now: number
  readonly advice: TurnAdvice
  /** Mean ΔE00 that a LUT of this shot would leave. */
  readonly withLut: number
  /** Where the declared encoding is in doubt: the advice rests on it. */
  readonly encodingDoubt?: EncodingDoubt
  /** What the grey scale says besides, where it says something. */
  readonly grey?: GreyWord
  readonly beliefs: readonly ChainBelief[]
  /** The first shot, counted from 0, that is learnt from: 0 where nothing had to be let go. */
  readonly since: number
  /** How many groups of controls (pedestal, exposure, gains, matrix, in this order) were turned after each earlier shot. */
  readonly done: readonly number[]
  /** Was the camera touched otherwise than was asked after each earlier shot? */
  readonly touched: readonly boolean[]
}

export interface LineUpOptions extends FitOptions {
  /** How the camera's controls move; then the advice is what can be set. */
  readonly controls?: Controls
  /** What makers build in; default as measured sensors have it. */
  readonly prior?: MatrixPrior
  /** The match of this shot by the same options, where it is at hand. */
  readonly match?: ShotMatch
}

/** With fewer patches than this above black, those under it serve too. */
const fewest = 12
const notRead: Vec3 = [Number.NaN, Number.NaN, Number.NaN]

/**
 * Where a camera stands against its target by this shot, and what to turn before the next.
 *
 * @throws IsochipError as `matchCamera` does, and `chart-misread` or `target-misread` where a match would only warn: what is read
 * of the wrong patches is no advice
 */
export function lineUp(
  input: MatchInput,
  earlier: readonly EarlierRound[] = [],
  { prior = builtInMatrices, controls, match: given, ...options }: LineUpOptions = {},
): LineUpRound {
  const { chart, encoding, target, working } = input
  const panel = panelOf(controls)
  const match = given ?? shotMatch(input, options)
  if (match.misread !== undefined) throw misreadError(match.misread)
  const declared = match.declared
  const coded = curveOf(encoding)
  const curve = panel.pedestalInLight ? lightCurve : coded
  const active = match.patches.filter(({ excluded, weight }) => excluded === undefined && weight > 0)
  // Recorders end at or a little under black: what lies there may be cut off, and would teach a wrong chain.
  const underBlack = new Set(
    input.readings.patches.filter(({ rgb }) => Math.min(...rgb) <= 0).map(({ patch }) => patch),
  )
  const above = active.filter(({ patch }) => !underBlack.has(patch))
  const straight = above.length >= fewest ? above : active
  const codes = new Map(input.readings.patches.map(({ patch, rgb }) => [patch, rgb]))
  const scale = greyScale(straight, chart, codes, target, declared)
  const greysOf = ({ patches }: Readings) => {
    const of = new Map(patches.map(({ patch, rgb }) => [patch, rgb]))
    return greyScale(
      straight.filter(({ patch }) => Math.min(...(of.get(patch) ?? [0])) > 0),
      chart,
      of,
      target,
      declared,
    )
  }
  // Before the curve a pedestal is light as flare is.
  const black = trueBlackOf(chart, input.readings, target, declared)
  const tone = panel.pedestalInLight ? undefined : greyTone(curve, [...black, ...scale])
  const knee = kneeOf(tone, scale)
  // What lies over a knee is no longer of the chain: it would be taken for exposure.
  const used =
    knee === undefined
      ? straight
      : straight.filter(({ patch }) => Math.max(...codes.get(patch)!) <= knee.from + kneeMargin)
  const names = used.map(({ patch }) => patch)
  const signalOf = (readings: Readings, past: boolean) => {
    const of = new Map(readings.patches.map(({ patch, rgb }) => [patch, rgb]))
    const unusable = new Set(
      patchLights(chart, readings, encoding, options.clippedShare).flatMap((light) =>
        light.unusable === undefined ? [] : [light.patch],
      ),
    )
    return Float64Array.from(
      names.flatMap((name) => {
        const rgb = unusable.has(name) ? undefined : of.get(name)
        if (rgb === undefined || (past && Math.min(...rgb) <= 0)) return [...notRead]
        return panel.pedestalInLight ? rgb.map((code, c) => coded.decode(code, c as 0)) : [...rgb]
      }),
    )
  }
  const aimOf = ({ patch }: { readonly patch: string }) => target.light.get(patch)!
  const aims = used.map(aimOf)
  const toCamera = inverse3(declared)
  const targetInCamera = aims.flatMap((aim: Vec3) => [...apply3(toCamera, aim)])
  const sightOn = (some: typeof used) =>
    sightOf(
      curve,
      declared,
      viewing(working, match.view),
      some.flatMap((one) => [...aimOf(one)]),
      some.map(({ weight }) => weight),
    )
  const sight = sightOn(used)
  const kneeGain = (found: Knee) => {
    const shot = straight.flatMap(({ patch }) => [...codes.get(patch)!])
    const { mean } = sightOn(straight)
    return mean(shot) - mean(shot.map((code) => withoutKnee(code, found)))
  }
  const readings = [...earlier.map((round) => round.readings), input.readings]
  const shots = readings.map((one, i) => {
    const signal = signalOf(one, i < earlier.length)
    const shot = oneShot(curve, signal, sight, targetInCamera)
    // With a true black the greys tell pedestal from flare; without it what all patches say is as good.
    const deep = panel.pedestalInLight ? [] : trueBlackOf(chart, one, target, declared)
    const told = deep.length === 0 ? undefined : greyPedestal(curve, [...deep, ...greysOf(one)])
    return {
      shot,
      signal,
      pedestal: told?.pedestal ?? shot.pedestal,
      pedestalError: told?.pedestalError ?? [0, 4, 8].map((i) => Math.sqrt(Math.max(shot.covariance[i]!, 0))),
      asked: earlier[i] === undefined ? undefined : numbersOfTurn(earlier[i].asked),
    }
  })
  const { beliefs, since, done, touched } = whatWasDone(
    curve,
    shots.map(({ signal, pedestal, pedestalError, asked }) => ({
      signal,
      pedestal,
      pedestalError,
      ...(asked === undefined ? {} : { asked }),
    })),
    prior,
    primariesConversion(resolvePrimaries('bt709'), encoding.primaries),
    panel,
    earlier,
  )
  const { signal, shot } = shots.at(-1)!
  const likeliest = beliefs.reduce((a, b) => (b.probability > a.probability ? b : a))
  const advised = adviseTurn(curve, signal, sight, shot, beliefs, panel, tone)
  const acting = advised.u.map((value, i) => value * exp(likeliest.theta[6 + groupOf[i]!]!))
  const chain = likeliest.chain(likeliest.theta)
  const advice = { ...advised, stages: withFilter(advised.stages, chain, acting, encoding.primaries) }
  const doubt = curveDoubt(match.encodingDoubt, coded, panel)
  const either = blackOf(tone, advice)
  return {
    turn: turnOfNumbers(advice.u),
    now: match.summary.before.mean,
    advice,
    withLut: match.summary.after.mean,
    ...(doubt === undefined ? {} : { encodingDoubt: doubt }),
    ...(either === undefined && knee === undefined
      ? {}
      : {
          grey: {
            ...(either === undefined ? {} : { black: either }),
            ...(knee === undefined ? {} : { knee: knee.short, kneeGain: kneeGain(knee) }),
          },
        }),
    beliefs,
    since,
    done,
    touched,
  }
}
