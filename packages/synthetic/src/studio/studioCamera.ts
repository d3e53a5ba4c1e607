import {
  apply3,
  type Chart,
  cos,
  type EncodingSpec,
  encodeRgb,
  exp2,
  identity3,
  ln,
  type Mat3,
  pow,
  type Readings,
  resolveEncoding,
  type Vec3,
} from '@isochip/core'
import { cameraMatrix } from '../camera/cameraMatrix.ts'
import { random } from '../random.ts'
import type { Light } from '../spectrum/light.ts'
import { patchLight } from '../spectrum/patchLight.ts'
import type { SensorName } from '../spectrum/sensorResponse.ts'
import { type PerControl, type StudioSettings, type StudioTurn, turned } from './studioSettings.ts'

/** A camera of the simulated studio. Everything that is left out is right, exact or not there. */
export interface StudioCameraSpec {
  readonly sensor: SensorName
  readonly light: Light
  /** Default `bt709`. */
  readonly encoding?: EncodingSpec
  /** The light that its maker's matrix was made for; default the light of the studio. */
  readonly matrixFor?: Light
  /** Are the gains of red and blue before the maker's matrix (default), or after it? */
  readonly gains?: 'before-matrix' | 'after-matrix'
  /** How it stands at first. */
  readonly exposure?: number
  readonly red?: number
  readonly blue?: number
  /** Its own, adjustable matrix; rows sum to 1. */
  readonly matrix?: Mat3
  readonly pedestal?: Vec3
  /** Light spread over the picture, as a share of white. */
  readonly flare?: number
  /** Exponent on linear light before the curve. */
  readonly gamma?: number
  /** Is the pedestal added to the signal (default), or to the light before the curve, as a share of white? */
  readonly pedestalStands?: 'after-curve' | 'before-curve'
  /** Signal above which a knee leaves three tenths of what is more; default none. */
  readonly knee?: number
  /** Standard deviation of a patch's mean, as a share of the signal's range. */
  readonly noise?: number
  /** How much of what is asked each control does. */
  readonly acts?: PerControl
  /** The steps in which each control moves; 0 is none. */
  readonly steps?: PerControl
  readonly seed: number
}

/** A camera that can be shot with and turned. */
export interface StudioCamera {
  /** Readings of the chart, as a sampled frame gives them. */
  shoot(): Readings
  turn(asked: StudioTurn): void
}

/**
 * A camera in a studio, patch by patch and without pixels: sensor, iris, gains of red and blue, the maker's matrix,
 * its own matrix, gamma, curve, pedestal, in this order (`gains` may stand after the maker's matrix).
 */
export function studioCamera(spec: StudioCameraSpec, chart: Chart): StudioCamera {
  const {
    sensor,
    light,
    acts,
    steps,
    noise = 0,
    gamma = 1,
    flare = 0,
    pedestalStands,
    knee = Number.POSITIVE_INFINITY,
  } = spec
  const encoding = resolveEncoding(spec.encoding ?? 'bt709')
  const built = cameraMatrix(sensor, spec.matrixFor ?? light, encoding.primaries)
  const seen = patchLight({ chart, device: sensor, light })
  const draw = random(spec.seed)
  const normal = () => Math.sqrt(-2 * ln(1 - draw.next())) * cos(2 * Math.PI * draw.next())
  let settings: StudioSettings = {
    exposure: spec.exposure ?? 0,
    red: spec.red ?? 1,
    blue: spec.blue ?? 1,
    matrix: spec.matrix ?? identity3,
    pedestal: spec.pedestal ?? [0, 0, 0],
  }

  const code = (sensorLight: Vec3): Vec3 => {
    const { exposure, red, blue, matrix, pedestal, flare: corrected = 0, gamma: set = 1 } = settings
    const level = exp2(exposure)
    const lit = (c: 0 | 1 | 2) => level * (sensorLight[c] + flare)
    const gained = ([r, g, b]: Vec3): Vec3 => [red * r, g, blue * b]
    const balanced: Vec3 = [lit(0), lit(1), lit(2)]
    const made =
      spec.gains === 'after-matrix' ? gained(apply3(built, balanced)) : apply3(built, gained(balanced))
    const own = apply3(matrix, made)
    const before = pedestalStands === 'before-curve'
    const bent = (c: 0 | 1 | 2) => {
      const light = own[c] + corrected
      return Math.sign(light) * pow(Math.abs(light), gamma * set) + (before ? pedestal[c] : 0)
    }
    const signal = encodeRgb(encoding, [bent(0), bent(1), bent(2)])
    const kneed = (code: number) => (code > knee ? knee + 0.3 * (code - knee) : code)
    const out = (c: 0 | 1 | 2) => kneed(signal[c]) + (before ? 0 : pedestal[c]) + noise * normal()
    return [out(0), out(1), out(2)]
  }
  // Super-whites of a video signal go a little over the nominal white; beyond that they clip.
  const top = 1.09
  return {
    shoot: () => ({
      patches: seen.map(({ patch, light: sensorLight }) => {
        const rgb = code(sensorLight)
        const held = (c: 0 | 1 | 2) => Math.min(Math.max(rgb[c], -0.07), top)
        return {
          patch,
          rgb: [held(0), held(1), held(2)] as const,
          clipped: rgb.some((value) => value > top) ? 1 : 0,
        }
      }),
    }),
    turn(asked) {
      settings = turned(settings, asked, acts, steps)
    },
  }
}
