import type { Chart, Vec3 } from '@isochip/core'
import { type Light, lightPower } from './light.ts'
import { patchReflectances } from './patchReflectances.ts'
import { type SensorName, sensorResponse } from './sensorResponse.ts'
import { xyzOf } from './xyzOf.ts'

/** What one device sees of one patch. */
export interface PatchLight {
  readonly patch: string
  /** White-balanced linear sensor RGB (a perfect diffuser = 1, 1, 1); XYZ (its Y = 1) for the observer. */
  readonly light: Vec3
}

/**
 * What a sensor, or the CIE 1931 2° observer, sees of every patch of a chart under a light: noise-free, evenly lit,
 * without flare. Two calls with two sensors make a matching task with a true metameric residual; one with a sensor
 * and one with the observer make a task towards the reference.
 */
export function patchLight(of: {
  readonly chart: Chart
  readonly device: SensorName | 'observer'
  readonly light: Light
}): readonly PatchLight[] {
  const power = lightPower(of.light)
  const reflectances = patchReflectances(of.chart)
  const { device } = of
  return of.chart.patches.map((patch, i) => ({
    patch: patch.name,
    light:
      device === 'observer' ? xyzOf(power, reflectances[i]) : sensorResponse(device, power, reflectances[i]),
  }))
}
