import type { Mat3, Vec3 } from '@isochip/core'
import { cos, exp, ln } from '@isochip/core'
import { random } from '../random.ts'
import type { LightName } from '../spectrum/light.ts'
import { type SensorName, sensorNames } from '../spectrum/sensorResponse.ts'
import type { StudioCameraSpec } from './studioCamera.ts'

/** A camera that is to be lined up, and the one that it is lined up to. */
export interface StudioPair {
  readonly camera: StudioCameraSpec
  readonly reference: StudioCameraSpec
}

/**
 * One task of the simulated studio, drawn by its number: as far off as cameras are that come out of different cases.
 * How far that is, is invented; the sensors and lights are measured.
 */
export function drawStudio(number: number): StudioPair {
  const draw = random(40_009 * number + 17)
  const normal = () => Math.sqrt(-2 * ln(1 - draw.next())) * cos(2 * Math.PI * draw.next())
  const light = draw.pick<LightName>(['D65', 'D50', 'A', 'LED-B3'])
  const sensor = draw.pick<SensorName>(sensorNames)
  const others = sensorNames.filter((name) => name !== sensor)
  const off = () => 0.05 * normal()
  const row = (place: 0 | 1 | 2): Vec3 => {
    const [a, b] = [off(), off()]
    return place === 0 ? [1 - a - b, a, b] : place === 1 ? [a, 1 - a - b, b] : [a, b, 1 - a - b]
  }
  const matrix: Mat3 = [row(0), row(1), row(2)]
  const master = 0.02 * normal()
  const share = () => draw.between(0.8, 1.2)
  const inSteps = draw.chance(0.5)
  return {
    camera: {
      sensor,
      light,
      matrixFor: draw.chance(0.5) ? light : 'D65',
      gains: draw.chance(0.7) ? 'before-matrix' : 'after-matrix',
      exposure: 0.4 * normal(),
      red: exp(0.1 * normal()),
      blue: exp(0.1 * normal()),
      matrix,
      pedestal: [master + 0.006 * normal(), master + 0.006 * normal(), master + 0.006 * normal()],
      flare: draw.between(0, 0.012),
      gamma: draw.chance(0.5) ? 1 + 0.015 * normal() : 1,
      noise: 0.0007,
      acts: { exposure: share(), gains: share(), matrix: share(), pedestal: share() },
      steps: inSteps
        ? { exposure: 0.05, gains: 0.005, matrix: 0.01, pedestal: 0.002 }
        : { exposure: 0, gains: 0, matrix: 0, pedestal: 0 },
      seed: number,
    },
    reference: {
      sensor: draw.pick<SensorName>(others),
      light,
      exposure: -0.05,
      flare: 0.004,
      noise: 0.0007,
      seed: number + 500_000,
    },
  }
}
