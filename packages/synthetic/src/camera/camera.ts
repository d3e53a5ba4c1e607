import { diagonal3, type EncodingSpec, type Mat3, multiply3, resolveEncoding, type Vec3 } from '@isochip/core'
import { type Spectrum, sampled, sumOf } from '../spectrum/grid.ts'
import { type Light, lightPower } from '../spectrum/light.ts'
import { type SensorName, sensorCurves, sensorWeights } from '../spectrum/sensorResponse.ts'
import { cameraMatrix } from './cameraMatrix.ts'
import type { Development } from './develop.ts'

/** A camera as it was set up on the day. Everything that is left out is right. */
export interface Camera {
  readonly sensor: SensorName
  readonly encoding: EncodingSpec
  /** Code values of the file; default 16. */
  readonly bits?: 8 | 16
  /** The light that its white balance was set in; default the light of the scene. */
  readonly balancedFor?: Light
  /** Stops from the exposure at which a perfect diffuser is linear 1; default 0. */
  readonly exposure?: number
  /** Error of the gains of red, green and blue; default 1, 1, 1. */
  readonly balance?: Vec3
  /** Error of the built-in matrix, applied after it; rows sum to 1; default none. */
  readonly colour?: Mat3
  /** Light added to black by a wrong black balance, per channel; default none. */
  readonly black?: Vec3
  /** Pedestal in the signal, after the curve, per channel, as a fraction of the nominal range; default none. */
  readonly pedestal?: Vec3
  readonly vignette?: number
  readonly flare?: number
  /** See `Development.noise`; default none. */
  readonly noise?: { readonly shot: number; readonly read: number }
}

/** White-balanced sensor RGB of a reflectance; of a perfect diffuser, when none is given. */
export type See = (reflectance?: Spectrum) => Vec3

/** A camera in a light. */
export interface ReadyCamera {
  readonly see: See
  readonly development: Development
}

/** Sets a camera up in a light. `seed` starts its noise. */
export function readyCamera(camera: Camera, light: Light, seed: number): ReadyCamera {
  const power = lightPower(light)
  const balancedFor = camera.balancedFor ?? light
  const balancePower = lightPower(balancedFor)
  const weights = sensorWeights(camera.sensor, power, balancePower)
  const white = sensorCurves(camera.sensor).map((curve) => sumOf(curve, balancePower))
  const flat = sampled(() => 1)
  const encoding = resolveEncoding(camera.encoding)
  const built = cameraMatrix(camera.sensor, balancedFor, encoding.primaries)
  const matrix = camera.colour === undefined ? built : multiply3(camera.colour, built)
  const balance = camera.balance ?? [1, 1, 1]
  return {
    see: (reflectance = flat) => [
      sumOf(weights[0], reflectance),
      sumOf(weights[1], reflectance),
      sumOf(weights[2], reflectance),
    ],
    development: {
      exposure: camera.exposure ?? 0,
      vignette: camera.vignette ?? 0,
      flare: camera.flare ?? 0,
      noise: {
        shot: camera.noise?.shot ?? 0,
        read: camera.noise?.read ?? 0,
        gain: [white[1]! / white[0]!, 1, white[1]! / white[2]!],
        seed,
      },
      matrix: multiply3(matrix, diagonal3(balance)),
      black: camera.black ?? [0, 0, 0],
      ...(camera.pedestal === undefined ? {} : { pedestal: camera.pedestal }),
      encoding,
      bits: camera.bits ?? 16,
    },
  }
}
