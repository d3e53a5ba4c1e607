import type { Vec3 } from '@isochip/core'
import { sensorTables } from '../data/sensorTables.ts'
import { resample, type Spectrum, sampled, sumOf } from './grid.ts'

/** The measured sensors, by number. */
export type SensorName = keyof typeof sensorTables

export const sensorNames = Object.keys(sensorTables) as SensorName[]

/** Sensitivity of the three channels: red, green, blue. */
export function sensorCurves(sensor: SensorName): readonly [Spectrum, Spectrum, Spectrum] {
  const { r, g, b } = sensorTables[sensor]
  const curve = (table: readonly number[]) => resample(table, 400, 10, 'zero')
  return [curve(r), curve(g), curve(b)]
}

/**
 * The weights that turn a reflectance into white-balanced camera RGB: sensitivity × power, scaled so that a perfect
 * diffuser under `balancedFor`, at the same green level, is 1, 1, 1.
 */
export function sensorWeights(
  sensor: SensorName,
  power: Spectrum,
  balancedFor: Spectrum = power,
): readonly [Spectrum, Spectrum, Spectrum] {
  const curves = sensorCurves(sensor)
  const level = sumOf(curves[1], balancedFor) / sumOf(curves[1], power)
  const weight = (curve: Spectrum) => {
    const scale = level / sumOf(curve, balancedFor)
    return curve.map((value, i) => value * power[i]! * scale)
  }
  return [weight(curves[0]), weight(curves[1]), weight(curves[2])]
}

const flat = sampled(() => 1)

/**
 * Linear camera RGB of a reflectance under the light `power`, for a sensor that is white-balanced for the light
 * `balancedFor` (by default the same): a perfect diffuser under that light, at the same green level, is 1, 1, 1.
 * Without a reflectance the answer is that of the perfect diffuser: the balance error itself, with green at 1.
 */
export function sensorResponse(
  sensor: SensorName,
  power: Spectrum,
  reflectance: Spectrum = flat,
  balancedFor: Spectrum = power,
): Vec3 {
  const [r, g, b] = sensorWeights(sensor, power, balancedFor)
  return [sumOf(r, reflectance), sumOf(g, reflectance), sumOf(b, reflectance)]
}
