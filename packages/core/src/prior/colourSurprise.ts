import type { Chart } from '../chart/chart.ts'
import { placeOnChart } from '../chart/placeOnChart.ts'
import { exp2 } from '../elementary/exp2.ts'
import type { Vec3 } from '../linear/mat3.ts'
import { type Expectation, expectReadings, looseCovariance, meanReflectance } from './expectReadings.ts'
import { chartReflectances } from './materials/chartReflectances.ts'
import { likelyReflectances } from './materials/likelyReflectances.ts'
import { sensorPrior } from './sensorPrior.ts'

/** Readings of a chart's patches, in the order of its patches. */
export interface SurpriseInput {
  readonly chart: Chart
  /** Linear light, on any scale. */
  readonly light: readonly Vec3[]
  /** Standard error of it. */
  readonly error: readonly Vec3[]
  /**
   * By patch and channel, the end of the range at which it clips, and where its light therefore is a bound: −1 at the bottom, 1
   * at the top, 0 nowhere. A channel that clips is judged by those patches in which it does not, and they are not by it.
   */
  readonly clips: readonly (readonly [number, number, number])[]
  /** Patches that are taken to be the chart's to begin with: most of those that do not clip. */
  readonly core: readonly number[]
}

export interface Surprise {
  /** By patch: how many of its standard errors it is from what the others lead to expect, root mean square of the channels. */
  readonly errors: readonly number[]
  /** By patch: by how much, as a share of the chart's mean light. */
  readonly off: readonly number[]
  /** How far the patches that belong are off what any sensor would read, as a share of their reflectance. */
  readonly misfit: number
  /** Logarithm of the likelihood of the core's light. */
  readonly likelihood: number
  /** Mean light for a reflectance of 1. */
  readonly level: number
}

const misfits = Array.from({ length: 5 }, (_, i) => 0.004 * exp2(i))
/** What is off, as a curve that is not quite the camera's, is off in the dark too: as a reflectance of so much more is. */
const dark = 0.1
/** A reading is not known better than this, as a share of the light of white. */
const floor = 0.0003
/** The light over a chart falls off along it by about so much to either side, and so much towards the corners. */
const slope = 0.14
const bow = 0.07
/** A reflectance that is only the smoothest with its colour is off by such a share of its span (430…670 nm). */
const metameric = 0.04
/** A patch belongs up to so many errors. */
const belongs = 3
const rounds = 6
/** Least share of the patches of the core that the rounds after it go by. */
const kept = 0.7

/**
 * How surprising each patch's colour is, after what sensors and lights are like (`sensorPrior`) and what the other patches
 * say of this one: a Gaussian expectation of its reading, linear in theirs. It takes in exposure, white balance, a matrix, flare and
 * light that falls off along the chart.
 *
 * @returns `undefined` for a chart of which not all patches have colours
 */
export function colourSurprise(input: SurpriseInput): Surprise | undefined {
  const { chart, light, clips, core } = input
  const reflectances = likelyReflectances(chart)
  if (reflectances.some((one) => one === undefined)) return undefined
  const all = reflectances as readonly Float64Array[]
  const means = all.map(meanReflectance)
  const known = chartReflectances(chart)
  const isKnown = chart.patches.map(({ name }) => known.has(name))
  const chromas = all.map((one) => Math.max(...one.subarray(5, 30)) - Math.min(...one.subarray(5, 30)))
  const places = chart.patches.map((_, p) => placeOnChart(chart, p))
  const n = means.length
  const covariance = looseCovariance(sensorPrior(), all, all).map((value, i) => {
    const [p, q] = [Math.floor(i / n), i % n]
    const [px, py] = places[p]!
    const [qx, qy] = places[q]!
    const falls = slope ** 2 * (px * qx + py * qy) + bow ** 2 * ((px * qx) ** 2 + (py * qy) ** 2)
    return value + means[p]! * means[q]! * falls
  })
  const judged = [...clips.keys()].filter((p) => clips[p]!.every((end) => end === 0))
  const ratios = judged.map((p) => (light[p]![0] + light[p]![1] + light[p]![2]) / 3 / means[p]!)
  const level = [...ratios].sort((a, b) => a - b)[ratios.length >> 1]!
  if (!(level > 0)) return undefined
  const model: Model = {
    covariance,
    means,
    channels: [0, 1, 2].map((c) => light.map((rgb) => rgb[c]! / level)),
    noise: input.error.map(
      ([r, g, b], p) =>
        ((r + g + b) / 3 / level) ** 2 + floor ** 2 + (isKnown[p] ? 0 : metameric * chromas[p]!) ** 2,
    ),
    clips,
  }
  const { likelihood } = likeliest(model, core)
  const told = [...clips.keys()].filter((p) => clips[p]!.some((end) => end === 0))
  let held = core
  let seen = judge(model, core)
  for (let round = 0; round < rounds; round++) {
    const next = told.filter((p) => seen.errors[p]! < belongs)
    if (next.length < core.length * kept || next.join() === held.join()) break
    held = next
    seen = judge(model, held)
  }
  return { ...seen, likelihood, level }
}

interface Model {
  readonly covariance: Float64Array
  readonly means: readonly number[]
  /** By channel, by patch. */
  readonly channels: readonly (readonly number[])[]
  /** Variance of a reading. */
  readonly noise: readonly number[]
  readonly clips: SurpriseInput['clips']
}

function expectationOf(
  { covariance, means, noise }: Model,
  held: readonly number[],
  misfit: number,
): Expectation {
  const n = means.length
  const m = held.length
  const own = new Float64Array(m * m)
  for (let i = 0; i < m; i++)
    for (let j = 0; j < m; j++) own[i * m + j] = covariance[held[i]! * n + held[j]!]!
  return expectReadings(
    own,
    held.map((p) => noise[p]! + (misfit * (means[p]! + dark)) ** 2),
  )
}

/** What the patches say in which a channel does not clip: of each channel, but where they are the same once for all. */
function byChannel<Value>(
  { clips }: Model,
  held: readonly number[],
  of: (heldHere: readonly number[]) => Value,
): readonly { readonly heldHere: readonly number[]; readonly value: Value }[] {
  const known = new Map<string, { readonly heldHere: readonly number[]; readonly value: Value }>()
  return ([0, 1, 2] as const).map((c) => {
    const heldHere = held.filter((p) => clips[p]![c] === 0)
    const name = heldHere.join()
    const one = known.get(name) ?? { heldHere, value: of(heldHere) }
    known.set(name, one)
    return one
  })
}

function likeliest(model: Model, held: readonly number[]) {
  const tried = misfits.map((misfit) => {
    let likelihood = 0
    const expectations = byChannel(model, held, (here) => expectationOf(model, here, misfit))
    for (const [c, { heldHere, value: expectation }] of expectations.entries()) {
      const white = new Float64Array(heldHere.length)
      expectation.whiten(
        heldHere.map((p) => model.channels[c]![p]!),
        white,
      )
      likelihood -= expectation.logVolume
      for (const value of white) likelihood -= (value * value) / 2
    }
    return { misfit, likelihood }
  })
  return tried.reduce((a, b) => (b.likelihood > a.likelihood ? b : a))
}

/** Each patch by the held ones, itself left out. */
function judge(model: Model, held: readonly number[]) {
  const { misfit } = likeliest(model, held)
  const n = model.means.length
  const squares = new Float64Array(n)
  const surprises = new Float64Array(n)
  const expectations = byChannel(model, held, (here) => expectationOf(model, here, misfit))
  for (const [c, { heldHere, value }] of expectations.entries()) {
    const { difference, variance } = differencesOf(model, heldHere, value, misfit, c as 0 | 1 | 2)
    for (let p = 0; p < n; p++) {
      squares[p]! += difference[p]! ** 2 / 3
      surprises[p]! += difference[p]! ** 2 / 3 / Math.max(variance[p]!, 1e-12)
    }
  }
  return { errors: [...surprises.map(Math.sqrt)], off: [...squares.map(Math.sqrt)], misfit }
}

/** How far each patch is off in a channel, and the variance of that. */
function differencesOf(
  { covariance, means, channels, noise, clips }: Model,
  held: readonly number[],
  expectation: Expectation,
  misfit: number,
  channel: 0 | 1 | 2,
) {
  const n = means.length
  const values = channels[channel]!
  const difference = new Float64Array(n)
  const variance = new Float64Array(n)
  const solved = expectation.solve(held.map((p) => values[p]!))
  const { precision } = expectation
  const at = new Map(held.map((p, i) => [p, i]))
  for (let p = 0; p < n; p++) {
    const i = at.get(p)
    if (i !== undefined) {
      variance[p] = 1 / precision[i]!
      difference[p] = solved[i]! * variance[p]!
      continue
    }
    const cross = Float64Array.from(held, (q) => covariance[p * n + q]!)
    const weights = expectation.solve(cross)
    let expected = 0
    let told = 0
    for (let j = 0; j < held.length; j++) {
      expected += weights[j]! * values[held[j]!]!
      told += weights[j]! * cross[j]!
    }
    variance[p] = covariance[p * n + p]! + noise[p]! + (misfit * (means[p]! + dark)) ** 2 - told
    const off = values[p]! - expected
    difference[p] = clips[p]![channel] * off < 0 ? 0 : off
  }
  return { difference, variance }
}
