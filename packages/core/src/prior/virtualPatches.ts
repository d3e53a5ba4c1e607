import type { Vec3 } from '../linear/mat3.ts'
import type { Samples } from '../samples/samples.ts'
import { looseCovariance, type Reflectances } from './expectReadings.ts'
import type { SensorPrior } from './sensorPrior.ts'
import { type Trust, trustOf } from './trust.ts'
import { virtualReflectances } from './virtualReflectances.ts'

/** Materials that are not on the chart, and what both sides are expected to see of them. */
export interface VirtualPatches {
  readonly count: number
  /** Three numbers a patch, as in `Samples`. */
  readonly source: Float64Array
  readonly target: Float64Array
  /** How much they are to be believed, 0…1: 1 where light is linear and the chart as its spectra say. */
  readonly belief: number
  /** Light that black is lifted by. */
  readonly pedestal: { readonly source: Vec3; readonly target: Vec3 }
  /** The same as they were expected without sample `p`, into `source` and `target`. */
  without(p: number, source: Float64Array, target: Float64Array): void
}

const wanted = 150
/** A material darker than this share of white in any channel is no material to judge a match by. */
const darkest = 0.002
/** Up to this misfit of the readings sensors are believed to be of the prior's kind; beyond, by its square less. */
const believedMisfit = 0.02

/**
 * Virtual patches of a chart whose spectra are known; `undefined` for another.
 *
 * The readings of the chart tell nearly all about those of other reflectances, as long as they are what a sensor in a
 * light may read (`trustOf`). Towards published values the target of a reflectance is known, `Samples.targetWeights`.
 */
export function virtualPatches(samples: Samples, prior: SensorPrior): VirtualPatches | undefined {
  const { reflectances, targetWeights } = samples
  if (reflectances === undefined) return undefined
  const list = virtualReflectances(reflectances, wanted)
  const covariance = looseCovariance(prior, reflectances, reflectances)
  const cross = looseCovariance(prior, list, reflectances)
  const seen = told(samples.source, samples.sourceError, samples, reflectances, covariance, cross)
  const aimed =
    targetWeights === undefined
      ? told(samples.target, samples.targetError, samples, reflectances, covariance, cross)
      : known(list, targetWeights)
  const bright = ({ light, level }: Told, v: number) =>
    Math.min(light[3 * v]!, light[3 * v + 1]!, light[3 * v + 2]!) > darkest * level
  const kept = list.flatMap((_, v) => (bright(seen, v) && bright(aimed, v) ? [v] : []))
  if (kept.length < wanted / 4) return undefined
  const misfit = Math.max(seen.trust?.misfit ?? 0, aimed.trust?.misfit ?? 0)
  const pick = (light: Float64Array) =>
    Float64Array.from(kept.flatMap((v) => [...light.subarray(3 * v, 3 * v + 3)]))
  return {
    count: kept.length,
    source: pick(seen.light),
    target: pick(aimed.light),
    belief: Math.min(1, (believedMisfit / misfit) ** 2),
    pedestal: { source: seen.trust?.pedestal ?? [0, 0, 0], target: aimed.trust?.pedestal ?? [0, 0, 0] },
    without(p, source, target) {
      seen.without(p, kept, source)
      aimed.without(p, kept, target)
    },
  }
}

interface Told {
  readonly light: Float64Array
  readonly level: number
  readonly trust?: Trust
  without(p: number, kept: readonly number[], out: Float64Array): void
}

function told(
  light: Float64Array,
  standardError: Float64Array,
  { weight }: Samples,
  reflectances: Reflectances,
  covariance: Float64Array,
  cross: Float64Array,
): Told {
  const n = weight.length
  const trust = trustOf(light, standardError, weight, reflectances, covariance)
  const { expectation, level } = trust
  const weights = expectation.weights(cross)
  const others = weights.length / n
  const expected = new Float64Array(3 * others)
  for (let v = 0; v < others; v++) {
    for (let p = 0; p < n; p++) {
      const w = weights[v * n + p]!
      for (let c = 0; c < 3; c++) expected[3 * v + c]! += w * light[3 * p + c]!
    }
  }
  const { precision } = expectation
  const solved = [0, 1, 2].map((c) =>
    expectation.solve(Float64Array.from({ length: n }, (_, p) => light[3 * p + c]!)),
  )
  return {
    light: expected,
    level,
    trust,
    // A patch that reads just what the others have it read tells nothing.
    without(p, kept, out) {
      for (const [i, v] of kept.entries()) {
        const w = weights[v * n + p]! / precision[p]!
        for (let c = 0; c < 3; c++) out[3 * i + c] = expected[3 * v + c]! - w * solved[c]![p]!
      }
    },
  }
}

function known(list: Reflectances, weights: NonNullable<Samples['targetWeights']>): Told {
  const sum = (weight: Float64Array, reflectance: Float64Array) =>
    weight.reduce((total, w, k) => total + w * reflectance[k]!, 0)
  const light = Float64Array.from(list.flatMap((of) => weights.map((weight) => sum(weight, of))))
  return {
    light,
    level: 1,
    without: (_p, kept, out) => {
      for (const [i, v] of kept.entries()) out.set(light.subarray(3 * v, 3 * v + 3), 3 * i)
    },
  }
}
