import type { EncodingSpec } from '@isochip/core'
import type { Camera } from '../camera/camera.ts'
import type { Random } from '../random.ts'
import { type Light, lightNames } from '../spectrum/light.ts'
import { sensorNames } from '../spectrum/sensorResponse.ts'

/** How a scene is shot: drawn at random, kept so that a test can say in what conditions it fails. */
export interface Conditions {
  readonly width: number
  readonly height: number
  readonly light: Light
  readonly camera: Camera
  readonly distortion: number
  readonly blur: number
  /** Strength of the camera's edge enhancement; 0 is none. */
  readonly sharpening: number
}

const sizes = [
  [960, 540],
  [960, 540],
  [960, 540],
  [960, 540],
  [1120, 630],
  [1024, 768],
  [1280, 720],
  [720, 960],
  [1600, 900],
] as const

function encodingOf(r: Random, exposure: number): EncodingSpec {
  // A camera that is two stops over keeps its colours only if it records log.
  const log = r.chance(exposure > 1 ? 0.6 : 0.2)
  if (!log) return r.pick(['bt709', 'bt709', 'srgb', 'bt2020', 'hlg'] as const)
  return {
    transfer: {
      log: {
        base: 2,
        logSideSlope: r.between(0.06, 0.095),
        logSideOffset: r.between(0.5, 0.66),
        linSideSlope: 1,
        linSideOffset: r.between(0.004, 0.012),
        linSideBreak: 0.004,
      },
    },
    primaries: r.pick(['bt2020', 'p3-d65', 'ap1'] as const),
    range: 'full',
  }
}

/** Draws camera, light, lens and settings: exposure ±2.5 stops, white balance 2500…9000 K, from little noise to much. */
export function drawConditions(r: Random): Conditions {
  const [width, height] = r.pick(sizes)
  const exposure = r.between(-2.5, 2.5)
  const light = r.pick(lightNames)
  const tungsten = light === 'A' || light === 'LED-V1'
  const wrong = r.chance(0.6)
  // Even in mired, as white balance is felt; a lamp is not shot at 9000 K.
  const kelvin = 1e6 / r.between(tungsten ? 250 : 111, 400)
  const noisy = r.next() ** 2
  return {
    width,
    height,
    light,
    camera: {
      sensor: r.pick(sensorNames),
      encoding: encodingOf(r, exposure),
      bits: r.chance(0.65) ? 8 : 16,
      exposure,
      ...(wrong ? { balancedFor: { kelvin } } : {}),
      black: [r.between(0, 0.01), r.between(0, 0.01), r.between(0, 0.01)],
      vignette: r.between(0, 0.35),
      flare: r.chance(0.3) ? r.between(0.02, 0.1) : r.between(0, 0.02),
      noise: { shot: 5e-5 + 3e-3 * noisy, read: 4e-4 + 0.008 * noisy },
    },
    distortion: r.chance(0.4) ? 0 : r.between(-0.06, 0.05),
    blur: r.chance(0.5) ? 1 : r.between(1, 4),
    sharpening: r.chance(0.3) ? r.between(0.2, 0.9) : 0,
  }
}
