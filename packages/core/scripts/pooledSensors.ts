import {
  type LightName,
  lightPower,
  type SensorName,
  type Spectrum,
  sensorCurves,
  wavelength,
  xyzWeights,
} from '@isochip/synthetic'
import { knots } from '../src/prior/knots.ts'

/** A weight on the 81 samples of a spectrum as one on the knots, between which a reflectance runs straight. */
export function onKnots(weight: Spectrum): Float64Array {
  const out = new Float64Array(knots.count)
  for (const [i, value] of weight.entries()) {
    const at = Math.min(Math.max((wavelength(i) - knots.start) / knots.step, 0), knots.count - 1)
    const left = Math.min(Math.floor(at), knots.count - 2)
    out[left]! += value * (1 - (at - left))
    out[left + 1]! += value * (at - left)
  }
  return out
}

/**
 * Second moment of light × sensitivity on the knots, each channel scaled to 1 on white, over the channels of sensors
 * and the 2° observer under lights; knots × knots, row-major.
 */
export function pooledSensors(sensors: readonly SensorName[], lights: readonly LightName[]): Float64Array {
  const n = knots.count
  const sum = new Float64Array(n * n)
  let count = 0
  for (const light of lights) {
    const power = lightPower(light)
    const products = sensors.flatMap((name) =>
      sensorCurves(name).map((curve) => curve.map((value, i) => value * power[i]!)),
    )
    for (const product of [...products, ...xyzWeights(power)]) {
      const curve = onKnots(product)
      const white = curve.reduce((total, value) => total + value, 0)
      for (let i = 0; i < n; i++)
        for (let j = 0; j < n; j++) sum[i * n + j]! += (curve[i]! * curve[j]!) / white ** 2
      count++
    }
  }
  return sum.map((value) => value / count)
}
