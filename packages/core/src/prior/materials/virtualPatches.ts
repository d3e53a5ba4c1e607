import type { Vec3 } from '../../linear/mat3.ts'
import { once } from '../../once.ts'
import type { Samples } from '../../samples/samples.ts'
import { looseCovariance, type Reflectances } from '../expectReadings.ts'
import type { SensorPrior } from '../sensorPrior.ts'
import { toeOf } from '../toeOf.ts'
import { type Trust, trustOf } from '../trust.ts'

/** Materials that are not on the chart, and what both sides are expected to see of them. */
export interface VirtualPatches {
  readonly count: number
  /** Three numbers per patch, as in `Samples`. */
  readonly source: Float64Array
  readonly target: Float64Array
  /** The same as they were expected without sample `p`, into `source` and `target`. */
  without(p: number, source: Float64Array, target: Float64Array): void
}

/** What the readings of a chart whose spectra are known tell, under a prior. */
export interface ChartEvidence {
  readonly reflectances: Reflectances
  /** Those of the chart's patches that take no part. */
  readonly unread: Reflectances
  /** How much it is to be believed, 0…1: 1 where light is linear and the chart as its spectra say. */
  readonly belief: number
  /** Light that black is lifted by. */
  readonly pedestal: { readonly source: Vec3; readonly target: Vec3; readonly sourceError: number }
  /** How much more probable the camera's readings are with a toe, as a logarithm: above 0 where it crushes, below 0 where it lifts. */
  readonly toe: () => number
  /** What both sides are expected to see of other reflectances. */
  see(others: Reflectances): { readonly seen: Told; readonly aimed: Told }
}

/** A material darker than this share of white in any channel is no material to judge a match by. */
const darkest = 0.002
/** Up to this misfit of the readings sensors are believed to be of the prior's kind; beyond, by its square less. */
const believedMisfit = 0.02

/**
 * The readings of the chart tell nearly all about those of other reflectances, as long as they are what a sensor in a
 * light may read (`trustOf`). Towards published values the target of a reflectance is known, `Samples.targetWeights`.
 * `undefined` for a chart of which not all spectra are known.
 */
export function chartEvidence(samples: Samples, prior: SensorPrior): ChartEvidence | undefined {
  const { reflectances, unread = [], targetWeights, weight } = samples
  if (reflectances === undefined) return undefined
  const covariance = looseCovariance(prior, reflectances, reflectances)
  // Who asks for the toe alone, as without one patch after another, needs none of it.
  const trust = once(() => ({
    source: trustOf(samples.source, samples.sourceError, weight, reflectances, covariance),
    target:
      targetWeights === undefined
        ? trustOf(samples.target, samples.targetError, weight, reflectances, covariance)
        : undefined,
  }))
  return {
    reflectances,
    unread,
    get belief() {
      const { source, target } = trust()
      return Math.min(1, (believedMisfit / Math.max(source.misfit, target?.misfit ?? 0)) ** 2)
    },
    get pedestal() {
      const { source, target } = trust()
      return {
        source: source.pedestal,
        target: target?.pedestal ?? ([0, 0, 0] as const),
        sourceError: source.pedestalError,
      }
    },
    toe: once(() => {
      const places = samples.onChart?.places
      return places === undefined
        ? 0
        : toeOf(samples.source, samples.sourceError, weight, reflectances, covariance, places)
    }),
    see(others) {
      const cross = looseCovariance(prior, others, reflectances)
      const { source, target } = trust()
      return {
        seen: told(samples.source, source, cross),
        aimed: target === undefined ? known(others, targetWeights!) : told(samples.target, target, cross),
      }
    },
  }
}

/**
 * What camera and target see of these reflectances; `undefined` where hardly one of them is bright enough.
 *
 * @param unread those of the chart's own patches that take no part: however dark a channel, they are materials, and where a
 * recording cuts a channel at black it is read as none.
 */
export function virtualPatches(
  evidence: ChartEvidence,
  list: Reflectances,
  unread: Reflectances = [],
): VirtualPatches | undefined {
  const { seen, aimed } = evidence.see(unread.length === 0 ? list : [...list, ...unread])
  const bright = ({ light, level }: Told, v: number) =>
    Math.min(light[3 * v]!, light[3 * v + 1]!, light[3 * v + 2]!) > darkest * level
  const kept = list.flatMap((_, v) => (bright(seen, v) && bright(aimed, v) ? [v] : []))
  if (kept.length < list.length / 4) return undefined
  kept.push(...unread.map((_, i) => list.length + i))
  const pick = (light: Float64Array) => {
    const out = new Float64Array(3 * kept.length)
    for (const [i, v] of kept.entries()) out.set(light.subarray(3 * v, 3 * v + 3), 3 * i)
    return out
  }
  return {
    count: kept.length,
    source: atLeastNone(pick(seen.light), 3 * (kept.length - unread.length)),
    target: pick(aimed.light),
    without(p, source, target) {
      seen.without(p, kept, source)
      atLeastNone(source, source.length - 3 * unread.length)
      aimed.without(p, kept, target)
    },
  }
}

function atLeastNone(light: Float64Array, from: number): Float64Array {
  for (let i = from; i < light.length; i++) light[i] = Math.max(light[i]!, 0)
  return light
}

interface Told {
  readonly light: Float64Array
  readonly level: number
  without(p: number, kept: readonly number[], out: Float64Array): void
}

function told(light: Float64Array, { expectation, level }: Trust, cross: Float64Array): Told {
  const n = light.length / 3
  const others = cross.length / n
  const channel = (c: number) => {
    const readings = new Float64Array(n)
    for (let p = 0; p < n; p++) readings[p] = light[3 * p + c]!
    return expectation.solve(readings)
  }
  const red = channel(0)
  const green = channel(1)
  const blue = channel(2)
  const parts = once(() => ({ weights: expectation.weights(cross), precision: expectation.precision }))
  const expected = new Float64Array(3 * others)
  for (let v = 0; v < others; v++) {
    let x = 0
    let y = 0
    let z = 0
    for (let p = 0; p < n; p++) {
      const k = cross[v * n + p]!
      x += k * red[p]!
      y += k * green[p]!
      z += k * blue[p]!
    }
    expected[3 * v] = x
    expected[3 * v + 1] = y
    expected[3 * v + 2] = z
  }
  return {
    light: expected,
    level,
    // A patch that reads just what the others have it read tells nothing.
    without(p, kept, out) {
      const { weights, precision } = parts()
      const own = precision[p]!
      const ofRed = red[p]!
      const ofGreen = green[p]!
      const ofBlue = blue[p]!
      for (let i = 0; i < kept.length; i++) {
        const v = kept[i]!
        const w = weights[v * n + p]! / own
        out[3 * i] = expected[3 * v]! - w * ofRed
        out[3 * i + 1] = expected[3 * v + 1]! - w * ofGreen
        out[3 * i + 2] = expected[3 * v + 2]! - w * ofBlue
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
