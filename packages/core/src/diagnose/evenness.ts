import type { Chart } from '../chart/chart.ts'
import { placeOnChart } from '../chart/placeOnChart.ts'
import { exp2 } from '../elementary/exp2.ts'
import type { Fit } from '../fit/fitKind.ts'
import type { Nuisance } from '../model/nuisanceDesign.ts'
import type { MatchProblem } from '../problem/matchProblem.ts'
import type { Samples } from '../samples/samples.ts'
import { nuisanceFit } from './nuisanceFit.ts'

/** The smooth field of light over the chart, estimated together with the match. */
export interface LightField {
  /** Stops relative to the mean over all patches of the chart, in the chart's order: positive where there is more light. */
  readonly stops: readonly number[]
  /** Largest minus smallest, and its standard error. */
  readonly range: number
  readonly standardError: number
}

/**
 * Estimate uneven light: a low-order surface over the patches' places whose logarithm is added to that of every
 * channel, fitted together with the match, as in G. D. Finlayson, M. M. Darrodi, M. Mackiewicz, The alternating least
 * squares technique for nonuniform intensity color correction, Color Res. Appl. 40 (2015), but in one joint fit
 * instead of alternating ones. Second order where there are patches to carry it, otherwise a slope. Relative to the
 * target: light that is uneven in the same way on both is not seen, and need not be. A chart with repeated neutrals
 * (a crossed grey scale) ties the surface down best.
 *
 * @param names patch of each sample.
 */
export function lightField(
  chart: Chart,
  names: readonly string[],
  fit: Fit,
  problem: MatchProblem,
): LightField | undefined {
  const places = chart.patches.map((_, i) => placeOnChart(chart, i))
  const terms = problem.active.length >= fit.design.columns + 12 ? 5 : 2
  const surface = places.map(([u, v]) => [u, v, u * u, u * v, v * v].slice(0, terms))
  const mean = Array.from(
    { length: terms },
    (_, k) => surface.reduce((sum, s) => sum + s[k]!, 0) / surface.length,
  )
  const centred = surface.map((s) => s.map((value, k) => value - mean[k]!))
  const psi = new Float64Array(problem.samples.count * terms * 3)
  for (const [p, name] of names.entries()) {
    const at = centred[chart.patches.findIndex((patch) => patch.name === name)]!
    for (let k = 0; k < terms; k++) psi.fill(at[k]!, (p * terms + k) * 3, (p * terms + k) * 3 + 3)
  }
  const nuisance: Nuisance = { terms, psi }
  const joint = nuisanceFit(fit, problem, nuisance)
  if (joint === undefined) return undefined
  // η lifts the readings to what even light would give, so the light itself is its opposite.
  const stops = centred.map((at) => -at.reduce((sum, value, k) => sum + value * joint.eta[k]!, 0) / Math.LN2)
  const high = stops.indexOf(Math.max(...stops))
  const low = stops.indexOf(Math.min(...stops))
  const contrast = centred[high]!.map((value, k) => (value - centred[low]![k]!) / Math.LN2)
  return {
    stops,
    range: stops[high]! - stops[low]!,
    standardError: joint.standardError(contrast),
  }
}

/** The samples as even light would have given them. */
export function evened(chart: Chart, names: readonly string[], samples: Samples, field: LightField): Samples {
  const factor = factorsByName(chart, field)
  return {
    ...samples,
    source: samples.source.map((value, i) => value * factor.get(names[Math.floor(i / 3)]!)!),
    sourceError: samples.sourceError.map((value, i) => value * factor.get(names[Math.floor(i / 3)]!)!),
  }
}

/** By patch name: what the readings' light is to be multiplied by. */
export function factorsByName(chart: Chart, field: LightField): ReadonlyMap<string, number> {
  return new Map(chart.patches.map((patch, i) => [patch.name, exp2(-field.stops[i]!)]))
}
