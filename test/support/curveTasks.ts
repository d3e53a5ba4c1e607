import {
  adaptation,
  apply3,
  builtinChart,
  type Encoding,
  type EncodingSpec,
  type Mat3,
  multiply3,
  type Readings,
  resolveEncoding,
  resolvePrimaries,
  resolveTransfer,
  type Target,
  type Vec3,
  xyzToRgb,
} from '@isochip/core'
import {
  cameraMatrix,
  type LightName,
  lightNames,
  lightPower,
  patchReflectances,
  type SensorName,
  type Spectrum,
  sensorNames,
  sensorResponse,
  xyzOf,
} from '@isochip/synthetic'
import { type Random, random } from '../../packages/synthetic/src/random.ts'
import { ces99 } from './judgingSet.ts'

/**
 * Matching tasks between measured sensors (Jiang and others 2013) under CIE illuminants, recorded through a curve that
 * may or may not be the declared one. What the curves are made of is our own; the figures that they stand for (a
 * picture's S, a knee, a toe, a wrong gamma, narrow range taken for full) are common practice, no source.
 */
export interface CurveTask {
  readonly family: CurveFamily
  readonly sensor: SensorName
  /** For people: lights, target, what was recorded as what. */
  readonly about: string
  readonly readings: Readings
  readonly declared: Encoding
  readonly target: Target
  /** The light that was recorded, without noise: what the right curve would give. */
  readonly light: Readings
  /** Materials that are not on the chart: recorded code values, the light in them, and the target's. */
  readonly unseen: readonly { readonly code: Vec3; readonly light: Vec3; readonly aim: Vec3 }[]
}

export const curveFamilies = ['right', 'picture', 'gamma', 'knee', 'toe', 'standard', 'range', 'log'] as const
export type CurveFamily = (typeof curveFamilies)[number]

export const curveChart = builtinChart('chart24')
export const curveWorking = resolvePrimaries('bt709')
const reflectances = patchReflectances(curveChart)
const unseen = ces99

/** Light → code, code → light. */
interface Curve {
  readonly encode: (light: number) => number
  readonly what: string
}

const logCurve = (offset: number, slope: number, lin: number) => ({
  log: {
    base: 10,
    logSideSlope: slope,
    logSideOffset: offset,
    linSideSlope: lin,
    linSideOffset: 0.06,
    linSideBreak: 0.008,
  },
})

const named = (spec: EncodingSpec): Curve => {
  const transfer = resolveTransfer(resolveEncoding(spec).spec.transfer)
  return { encode: (light) => transfer.encode(light, 1), what: JSON.stringify(spec) }
}
const of = (transfer: Exclude<EncodingSpec, string>['transfer']): EncodingSpec => ({
  transfer,
  primaries: 'bt709',
})

/** A base curve with something done to its light before, or to its code after. */
const bent = (base: Curve, what: string, light: (x: number) => number, code = (v: number) => v): Curve => ({
  encode: (x) => code(base.encode(light(x))),
  what: `${what} on ${base.what}`,
})

/** One recorded curve and one that was declared for it. */
function curvesOf(family: CurveFamily, r: Random): { recorded: Curve; declared: EncodingSpec } {
  const display = () => of(r.pick(['bt709', 'srgb', 'bt1886'] as const))
  switch (family) {
    case 'right': {
      const spec = r.pick([
        of('linear'),
        of('bt709'),
        of('srgb'),
        of('bt1886'),
        of('hlg'),
        of('acescct'),
        of('pq'),
        of({ power: 2.2 }),
        of({ power: 2.6 }),
        of(logCurve(0.38, 0.25, 5.5)),
      ])
      return { recorded: named(spec), declared: spec }
    }
    case 'picture': {
      const spec = display()
      const a = r.between(0.25, 0.8)
      return {
        recorded: bent(
          named(spec),
          `S ${a.toFixed(2)}`,
          (x) => x,
          (v) => v - (a * Math.sin(2 * Math.PI * Math.min(Math.max(v, 0), 1))) / (2 * Math.PI),
        ),
        declared: spec,
      }
    }
    case 'gamma': {
      const power = r.pick([1.8, 2, 2.2, 2.4, 2.6])
      const factor = r.chance(0.5) ? r.between(1.08, 1.35) : 1 / r.between(1.08, 1.35)
      return { recorded: named(of({ power: power * factor })), declared: of({ power }) }
    }
    case 'knee': {
      const spec = display()
      const from = r.between(0.25, 0.5)
      const slope = r.between(0.15, 0.5)
      return {
        recorded: bent(named(spec), `knee ${from.toFixed(2)} ${slope.toFixed(2)}`, (x) =>
          x <= from ? x : from + (x - from) * slope,
        ),
        declared: spec,
      }
    }
    case 'toe': {
      const spec = display()
      const k = r.between(0.02, 0.1)
      const crush = r.chance(0.5)
      return {
        recorded: bent(named(spec), `${crush ? 'crush' : 'stretch'} ${k.toFixed(3)}`, (x) =>
          crush
            ? (Math.max(x, 0) ** 2 * (1 + k)) / (Math.max(x, 0) + k)
            : Math.sqrt(Math.max(x, 0) * (Math.max(x, 0) + k)),
        ),
        declared: spec,
      }
    }
    case 'standard': {
      const all = ['linear', 'bt709', 'srgb', 'bt1886', 'hlg', 'acescct', 'pq'] as const
      const recorded = r.pick(all)
      const declared = r.pick(all.filter((name) => name !== recorded))
      return { recorded: named(of(recorded)), declared: of(declared) }
    }
    case 'range': {
      const spec = of(r.pick(['bt709', 'srgb', 'bt1886', 'hlg', 'acescct'] as const))
      const narrow = r.chance(0.5)
      return {
        recorded: bent(
          named(spec),
          narrow ? 'narrow as full' : 'full as narrow',
          (x) => x,
          (v) => (narrow ? (16 + 219 * v) / 255 : (255 * v - 16) / 219),
        ),
        declared: spec,
      }
    }
    case 'log': {
      const declared = of(logCurve(0.38, 0.25, 5.5))
      const recorded = logCurve(
        r.between(0.3, 0.45),
        0.25 * (r.chance(0.5) ? r.between(1.1, 1.4) : r.between(0.7, 0.9)),
        5.5 * r.between(0.6, 1.6),
      )
      return { recorded: named(of(recorded)), declared }
    }
  }
}

/** What a device sees in the working primaries, white-balanced; a camera through the matrix that its maker built in. */
function lightsOf(device: SensorName | 'observer', light: LightName, spectra: readonly Spectrum[]): Vec3[] {
  const power = lightPower(light)
  if (device === 'observer') {
    const [x, y, z] = xyzOf(power)
    const sum = x + y + z
    const toWorking: Mat3 = multiply3(
      xyzToRgb(curveWorking),
      adaptation([x / sum, y / sum], curveWorking.white, 'cat16'),
    )
    return spectra.map((reflectance) => apply3(toWorking, xyzOf(power, reflectance)))
  }
  const matrix = cameraMatrix(device, light, curveWorking)
  return spectra.map((reflectance) => apply3(matrix, sensorResponse(device, power, reflectance)))
}

/** One task, the same for the same seed. */
export function curveTask(family: CurveFamily, seed: number): CurveTask {
  const r = random(seed * 7919 + curveFamilies.indexOf(family))
  const sensor = r.pick(sensorNames)
  const light = r.pick(lightNames)
  const observer = r.chance(0.5)
  const targetDevice = observer ? 'observer' : r.pick(sensorNames.filter((name) => name !== sensor))
  const targetLight = observer || r.chance(0.6) ? light : r.pick(lightNames)
  const { recorded, declared } = curvesOf(family, r)
  const exposure = 2 ** r.between(-0.8, 0.25)
  const gains = [r.between(0.85, 1.15), 1, r.between(0.85, 1.15)]
  const flare = r.chance(0.5) ? r.between(0, 0.025) : 0
  const noise = r.pick([0, 0.002, 0.006])
  const field = r.chance(0.5) ? [r.between(-0.1, 0.1), r.between(-0.1, 0.1)] : [0, 0]
  const bits = r.pick([8, 10, 16])
  const steps = 2 ** bits - 1
  const gauss = () => Math.sqrt(-2 * Math.log(1 - r.next())) * Math.cos(2 * Math.PI * r.next())
  const arrives = (rgb: Vec3, factor: number): Vec3 => {
    const one = (c: 0 | 1 | 2) => (rgb[c] * factor + flare) * exposure * gains[c]!
    return [one(0), one(1), one(2)]
  }
  const code = (rgb: Vec3, own: number): Vec3 => {
    const one = (c: 0 | 1 | 2) => {
      const v = recorded.encode(rgb[c]) + own * gauss()
      const held = Math.min(Math.max(v, -0.05), 1)
      // Noise of half a step and more is dither: the mean over a patch is then finer than the steps.
      return noise > 0.5 / steps ? held : Math.round(held * steps) / steps
    }
    return [one(0), one(1), one(2)]
  }
  const fieldAt = (p: number) => {
    const u = (2 * (p % curveChart.columns)) / (curveChart.columns - 1) - 1
    const v = (2 * Math.floor(p / curveChart.columns)) / (curveChart.rows - 1) - 1
    return 2 ** (field[0]! * u + field[1]! * v)
  }
  const seen = lightsOf(sensor, light, reflectances)
  const aims = lightsOf(targetDevice, targetLight, reflectances)
  // A patch is the mean of some hundreds of pixels, so that its scatter is a tenth of theirs and less.
  const patches = curveChart.patches.map(({ name }, p) => {
    const rgb = code(arrives(seen[p]!, fieldAt(p)), noise / 10)
    return {
      patch: name,
      rgb,
      ...(noise > 0 ? { sd: [noise, noise, noise] as Vec3, pixels: 100 } : {}),
      clipped: Math.max(...rgb) >= 1 ? 1 : 0,
    }
  })
  const spectra = unseen
  const others = lightsOf(sensor, light, spectra)
  const goals = lightsOf(targetDevice, targetLight, spectra)
  return {
    family,
    sensor,
    about: `${sensor} ${light} → ${targetDevice} ${targetLight}: ${recorded.what} as ${JSON.stringify(declared)}; exposure ${exposure.toFixed(2)}, flare ${flare.toFixed(3)}, noise ${noise}, ${bits} bits`,
    readings: { patches },
    light: {
      patches: patches.map(({ patch, clipped }, p) => ({
        patch,
        rgb: arrives(seen[p]!, fieldAt(p)),
        clipped,
      })),
    },
    declared: resolveEncoding(declared),
    target: {
      light: new Map(curveChart.patches.map(({ name }, p) => [name, aims[p]!])),
      standardError: new Map(),
      excluded: new Map(),
      warnings: [],
    },
    unseen: others.map((rgb, i) => {
      const light = arrives(rgb, 1)
      return { code: code(light, 0), light, aim: goals[i]! }
    }),
  }
}
