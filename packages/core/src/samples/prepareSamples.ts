import type { Chart } from '../chart/chart.ts'
import { placeOnChart } from '../chart/placeOnChart.ts'
import type { Encoding } from '../encoding/encoding.ts'
import { IsochipError, type Warning } from '../errors.ts'
import { given } from '../given.ts'
import type { Vec3 } from '../linear/mat3.ts'
import type { FitOptions } from '../match/options.ts'
import { chartReflectances } from '../prior/materials/chartReflectances.ts'
import { publishedTarget } from '../prior/publishedTarget.ts'
import type { PatchReading, Readings } from '../readings.ts'
import type { Target } from '../target/target.ts'
import { type PatchLight, patchLights } from './patchLights.ts'
import type { BlackSample, Samples } from './samples.ts'
import { trueBlackReading } from './trueBlack.ts'

/** The samples of a fit, and what every patch of the readings has to do with them. */
export interface Prepared {
  readonly lights: readonly PatchLight[]
  readonly samples: Samples
  /** Place in `lights` of every sample. */
  readonly places: readonly number[]
  /** By place in `lights`. */
  readonly excluded: ReadonlyMap<number, string>
  readonly warnings: readonly Warning[]
}

/** Bring readings and target together: what fits with what, with which weight, and what is left out for which reason. */
export function prepareSamples(
  chart: Chart,
  readings: Readings,
  encoding: Encoding,
  target: Target,
  options: FitOptions,
): Prepared {
  checkWeightedPatches(chart, options)
  const lights = patchLights(chart, readings, encoding, options.clippedShare)
  for (const [patch, light] of target.light) {
    if (!light.every(Number.isFinite)) {
      throw new IsochipError('target-invalid', `the target of patch "${patch}" is not finite`, {
        place: { patch },
      })
    }
  }
  const excluded = new Map<number, string>()
  const places: number[] = []
  const weights: number[] = []
  for (const [i, { patch, unusable }] of lights.entries()) {
    const role = chart.patches.find((candidate) => candidate.name === patch)?.role
    const weight =
      (options.weights?.patches?.[patch] ?? 1) *
      (role === undefined ? 1 : (options.weights?.roles?.[role] ?? 1))
    const reason =
      unusable ??
      target.excluded.get(patch) ??
      (target.light.has(patch) ? undefined : 'no target value') ??
      (weight === 0 ? 'weight 0 was asked for' : undefined)
    if (reason !== undefined) excluded.set(i, reason)
    else {
      places.push(i)
      weights.push(weight)
    }
  }
  if (places.length === 0) {
    const [first] = excluded.values()
    throw new IsochipError(
      [...excluded.values()].some((reason) => reason.startsWith('clipped')) ? 'clipped' : 'too-few-patches',
      `no patch can serve: all ${lights.length} are left out (the first: ${first ?? 'there is none'})`,
      { hint: 'expose the chart so that no patch clips and the black stands above the noise' },
    )
  }
  const numbers = (of: (i: number) => Vec3) => Float64Array.from(places.flatMap((i) => [...of(i)]))
  const zero: Vec3 = [0, 0, 0]
  const spectra = chartReflectances(chart)
  const reflectances = places.flatMap((i) => spectra.get(lights[i]!.patch) ?? [])
  const unread = [...excluded.keys()].flatMap((i) => spectra.get(lights[i]!.patch) ?? [])
  const targetWeights =
    reflectances.length > 0 ? (target.reflectanceWeights ?? publishedTarget(chart, target.light)) : undefined
  // That a light trap is no colour is nothing to be warned of.
  const traps = new Set(chart.patches.flatMap(({ name, role }) => (role === 'true-black' ? [name] : [])))
  const black =
    options.weights?.roles?.['true-black'] === 0
      ? undefined
      : blackSample(trueBlackReading(chart, readings), lights, target)
  const warnings = [...excluded].flatMap(([i, reason]): Warning[] => {
    const { patch } = lights[i]!
    if (traps.has(patch)) return []
    return [{ code: 'patch-left-out', message: `patch "${patch}" is left out: ${reason}`, place: { patch } }]
  })
  return {
    lights,
    places,
    excluded,
    warnings,
    samples: {
      count: places.length,
      source: numbers((i) => lights[i]!.light),
      target: numbers((i) => target.light.get(lights[i]!.patch)!),
      weight: Float64Array.from(weights),
      sourceError: numbers((i) => lights[i]!.standardError),
      targetError: numbers((i) => target.standardError.get(lights[i]!.patch) ?? zero),
      onChart: {
        places: places.map((i) =>
          placeOnChart(
            chart,
            chart.patches.findIndex(({ name }) => name === lights[i]!.patch),
          ),
        ),
        clipped: places.map((i) => lights[i]!.clipped),
      },
      ...(reflectances.length === places.length ? { reflectances } : {}),
      ...(reflectances.length === places.length && unread.length > 0 ? { unread } : {}),
      ...given({ targetWeights, trueBlack: black }),
    },
  }
}

/** The chart's true black, where the target has one too. */
function blackSample(
  reading: PatchReading | undefined,
  lights: readonly PatchLight[],
  { trueBlack: target }: Target,
): BlackSample | undefined {
  const seen = reading && lights.find(({ patch }) => patch === reading.patch)
  return seen === undefined || target === undefined || !seen.light.every(Number.isFinite)
    ? undefined
    : { source: seen.light, target, sourceError: seen.standardError }
}

function checkWeightedPatches(chart: Chart, options: FitOptions): void {
  for (const patch of Object.keys(options.weights?.patches ?? {})) {
    if (!chart.patches.some((candidate) => candidate.name === patch)) {
      throw new IsochipError(
        'patch-unknown',
        `a weight is given for patch "${patch}", which chart ${chart.id} does not have`,
      )
    }
  }
}
