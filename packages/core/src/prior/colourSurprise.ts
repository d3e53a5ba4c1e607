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
   * at the top, 0 nowhere. What clips is judged by the others, and they are not by it.
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
  let held = core
  let seen = judge(model, core)
  for (let round = 0; round < rounds; round++) {
    const next = judged.filter((p) => seen.errors[p]! < belongs)
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

function likeliest(model: Model, held: readonly number[]) {
  const tried = misfits.map((misfit) => {
    const expectation = expectationOf(model, held, misfit)
    const white = new Float64Array(held.length)
    let likelihood = -3 * expectation.logVolume
    for (const values of model.channels) {
      expectation.whiten(
        held.map((p) => values[p]!),
        white,
      )
      for (const value of white) likelihood -= (value * value) / 2
    }
    return { misfit, likelihood }
  })
  return tried.reduce((a, b) => (b.likelihood > a.likelihood ? b : a))
}

/** Each patch by the held ones, itself left out. */
function judge(model: Model, held: readonly number[]) {
  const { misfit } = likeliest(model, held)
  const { covariance, means, channels, noise, clips } = model
  const n = means.length
  const m = held.length
  const expectation = expectationOf(model, held, misfit)
  const solved = channels.map((values) => expectation.solve(held.map((p) => values[p]!)))
  const precision = expectation.precision
  const at = new Map(held.map((p, i) => [p, i]))
  const errors: number[] = []
  const off: number[] = []
  for (let p = 0; p < n; p++) {
    const i = at.get(p)
    let variance: number
    let differences: number[]
    if (i !== undefined) {
      variance = 1 / precision[i]!
      differences = solved.map((one) => one[i]! * variance)
    } else {
      const cross = Float64Array.from(held, (q) => covariance[p * n + q]!)
      const weights = expectation.solve(cross)
      variance = covariance[p * n + p]! + noise[p]! + (misfit * (means[p]! + dark)) ** 2
      for (let j = 0; j < m; j++) variance -= weights[j]! * cross[j]!
      differences = channels.map((values, c) => {
        const expected = held.reduce((sum, q, j) => sum + weights[j]! * values[q]!, 0)
        const difference = values[p]! - expected
        return clips[p]![c as 0 | 1 | 2] * difference < 0 ? 0 : difference
      })
    }
    const square = differences.reduce((sum, one) => sum + one * one, 0) / 3
    errors.push(Math.sqrt(square / Math.max(variance, 1e-12)))
    off.push(Math.sqrt(square))
  }
  return { errors, off, misfit }
}
