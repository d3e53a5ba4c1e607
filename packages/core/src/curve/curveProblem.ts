import type { Chart } from '../chart/chart.ts'
import { placeOnChart } from '../chart/placeOnChart.ts'
import { exp } from '../elementary/exp.ts'
import { ln } from '../elementary/ln.ts'
import { pow } from '../elementary/pow.ts'
import type { ModelKind } from '../model/modelKind.ts'
import { type NuisanceDesign, nuisanceDesign } from '../model/nuisanceDesign.ts'
import type { MatchProblem } from '../problem/matchProblem.ts'
import type { Samples } from '../samples/samples.ts'
import { type Correction, correctionExponent, correctionLevel, correctionOrder } from './correction.ts'

/** Which parts a correction has. */
export interface CurveParts {
  /** Terms of all channels. */
  readonly common: boolean
  /** Further terms of each channel. */
  readonly channels: boolean
  /** Uneven light: u, v, u², uv, v² over the chart. */
  readonly field: boolean
}

export interface CurveInput {
  readonly chart: Chart
  /** Patch of each sample. */
  readonly names: readonly string[]
  /** With light by the curve that is to be corrected. */
  readonly problem: MatchProblem
}

/** A match whose readings have a correction and uneven light in them, as a design. */
export interface CurveProblem {
  readonly design: NuisanceDesign
  /** Places in η of the parts; without a part, none. */
  readonly common: readonly number[]
  readonly channels: readonly (readonly number[])[]
  readonly field: readonly number[]
  /** By patch of the chart: what each term of the field is there. */
  readonly surface: readonly (readonly number[])[]
  correction(eta: Float64Array): Correction
}

export function curveProblem(kind: ModelKind, input: CurveInput, parts: CurveParts): CurveProblem {
  const { chart, names, problem } = input
  const { samples, declared } = problem
  const { count } = samples
  const frame = levelsOf(samples)
  const surface = surfaceOf(chart)
  let terms = 0
  const take = (wanted: boolean, number: number) => Array.from({ length: wanted ? number : 0 }, () => terms++)
  const common = take(parts.common, correctionOrder)
  const channels = [0, 1, 2].map(() => take(parts.channels, correctionOrder))
  const field = take(parts.field, 5)
  const psi = new Float64Array(count * terms * 3)
  const placeOf = new Map(chart.patches.map(({ name }, i) => [name, i]))
  for (const [p, name] of names.entries()) {
    const at = surface[placeOf.get(name)!]!
    for (let c = 0; c < 3; c++) {
      const u = correctionLevel(samples.source[3 * p + c]!, frame.middle)
      for (const [k, term] of common.entries()) psi[(p * terms + term) * 3 + c] = pow(u, k + 1)
      for (const [k, term] of channels[c]!.entries()) psi[(p * terms + term) * 3 + c] = pow(u, k + 1)
      for (const [k, term] of field.entries()) psi[(p * terms + term) * 3 + c] = at[k]!
    }
  }
  const correction = (eta: Float64Array): Correction => {
    const values = (places: readonly number[]) =>
      Array.from({ length: correctionOrder }, (_, k) => (places[k] === undefined ? 0 : eta[places[k]]!))
    return {
      ...frame,
      common: values(common),
      channels: [values(channels[0]!), values(channels[1]!), values(channels[2]!)],
    }
  }
  const rises = risingTest(frame)
  const design = nuisanceDesign(kind, samples, declared, { terms, psi }, (eta) => rises(correction(eta)))
  return { design, common, channels, field, surface, correction }
}

type Frame = Pick<Correction, 'middle' | 'low' | 'high'>

/** Where the chart's readings lie on the scale of a correction. */
function levelsOf({ source, weight, count }: Samples): Frame {
  let top = 0
  for (let p = 0; p < count; p++) {
    if (weight[p] === 0) continue
    top = Math.max(top, (source[3 * p]! + source[3 * p + 1]! + source[3 * p + 2]!) / 3)
  }
  const middle = top > 0 ? (0.2 / 0.9) * top : 0.2
  const levels = source.map((light) => correctionLevel(light, middle))
  return { middle, low: Math.min(...levels), high: Math.max(...levels) }
}

/** Does every channel's curve still rise, from black to a stop above the chart's brightest level? */
function risingTest(frame: Frame): (correction: Correction) => boolean {
  const steps = 24
  const first = correctionLevel(0, frame.middle)
  const last = frame.high + Math.LN2 / 2
  const black = exp(2 * first)
  const levels = Array.from({ length: steps + 1 }, (_, i) => {
    const u = first + ((i + 0.02) / (steps + 0.02)) * (last - first)
    return { u, logLight: ln(exp(2 * u) - black) }
  })
  return (correction) => {
    for (const channel of [0, 1, 2] as const) {
      let before = Number.NEGATIVE_INFINITY
      for (const { u, logLight } of levels) {
        const now = logLight + correctionExponent(correction, channel, u)
        if (!(now > before)) return false
        before = now
      }
    }
    return true
  }
}

/** u, v, u², uv, v² of every patch of the chart, less their means. */
function surfaceOf(chart: Chart): number[][] {
  const places = chart.patches.map((_, i) => {
    const [u, v] = placeOnChart(chart, i)
    return [u, v, u * u, u * v, v * v]
  })
  const means = places[0]!.map((_, k) => places.reduce((sum, at) => sum + at[k]!, 0) / places.length)
  return places.map((at) => at.map((value, k) => value - means[k]!))
}
