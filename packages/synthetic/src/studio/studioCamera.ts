import {
  apply3,
  type Chart,
  type EncodingSpec,
  encodeRgb,
  type Mat3,
  type Readings,
  resolveEncoding,
  type Vec3,
} from '@isochip/core'
import { cameraMatrix } from '../camera/cameraMatrix.ts'
import { random } from '../random.ts'
import type { Light } from '../spectrum/light.ts'
import { patchLight } from '../spectrum/patchLight.ts'
import type { SensorName } from '../spectrum/sensorResponse.ts'

/** What somebody turns at a studio camera between two shots. */
export interface StudioTurn {
  /** Stops. */
  readonly exposure: number
  /** Factors on the gains of red and blue. */
  readonly red: number
  readonly blue: number
  /** What is added to the six terms of the camera's own matrix: green into red, … */
  readonly matrix: Readonly<Record<'rg' | 'rb' | 'gr' | 'gb' | 'br' | 'bg', number>>
  /** What is added to each channel's pedestal, as a fraction of the nominal signal. */
  readonly pedestal: Vec3
}

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
  /** Standard deviation of a patch's mean, as a share of the signal's range. */
  readonly noise?: number
  /** How much of what is asked each control does. */
  readonly acts?: {
    readonly exposure: number
    readonly gains: number
    readonly matrix: number
    readonly pedestal: number
  }
  /** The steps in which each control moves; 0 is none. */
  readonly steps?: {
    readonly exposure: number
    readonly gains: number
    readonly matrix: number
    readonly pedestal: number
  }
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
  const { sensor, light, acts, steps, noise = 0, gamma = 1, flare = 0 } = spec
  const encoding = resolveEncoding(spec.encoding ?? 'bt709')
  const built = cameraMatrix(sensor, spec.matrixFor ?? light, encoding.primaries)
  const seen = patchLight({ chart, device: sensor, light })
  const draw = random(spec.seed)
  const normal = () => Math.sqrt(-2 * Math.log(1 - draw.next())) * Math.cos(2 * Math.PI * draw.next())
  let exposure = spec.exposure ?? 0
  let red = spec.red ?? 1
  let blue = spec.blue ?? 1
  let matrix: Mat3 = spec.matrix ?? [
    [1, 0, 0],
    [0, 1, 0],
    [0, 0, 1],
  ]
  let pedestal: Vec3 = spec.pedestal ?? [0, 0, 0]

  const code = (sensorLight: Vec3): Vec3 => {
    const level = 2 ** exposure
    const lit = (c: 0 | 1 | 2) => level * (sensorLight[c] + flare)
    const gained = ([r, g, b]: Vec3): Vec3 => [red * r, g, blue * b]
    const balanced: Vec3 = [lit(0), lit(1), lit(2)]
    const made =
      spec.gains === 'after-matrix' ? gained(apply3(built, balanced)) : apply3(built, gained(balanced))
    const own = apply3(matrix, made)
    const bent = (c: 0 | 1 | 2) => Math.sign(own[c]) * Math.abs(own[c]) ** gamma
    const signal = encodeRgb(encoding, [bent(0), bent(1), bent(2)])
    const out = (c: 0 | 1 | 2) => signal[c] + pedestal[c] + noise * normal()
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
      const stepped = (value: number, step: number) => (step > 0 ? Math.round(value / step) * step : value)
      const share = acts ?? { exposure: 1, gains: 1, matrix: 1, pedestal: 1 }
      const step = steps ?? { exposure: 0, gains: 0, matrix: 0, pedestal: 0 }
      exposure += stepped(share.exposure * asked.exposure, step.exposure)
      red *= 1 + stepped(asked.red ** share.gains - 1, step.gains)
      blue *= 1 + stepped(asked.blue ** share.gains - 1, step.gains)
      const term = (name: keyof StudioTurn['matrix']) =>
        stepped(share.matrix * asked.matrix[name], step.matrix)
      const [rg, rb, gr, gb, br, bg] = [
        term('rg'),
        term('rb'),
        term('gr'),
        term('gb'),
        term('br'),
        term('bg'),
      ]
      matrix = [
        [matrix[0][0] - rg - rb, matrix[0][1] + rg, matrix[0][2] + rb],
        [matrix[1][0] + gr, matrix[1][1] - gr - gb, matrix[1][2] + gb],
        [matrix[2][0] + br, matrix[2][1] + bg, matrix[2][2] - br - bg],
      ]
      const raised = (c: 0 | 1 | 2) =>
        pedestal[c] + stepped(share.pedestal * asked.pedestal[c], step.pedestal)
      pedestal = [raised(0), raised(1), raised(2)]
    },
  }
}
