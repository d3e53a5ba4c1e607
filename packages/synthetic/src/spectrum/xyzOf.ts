import type { Vec3 } from '@isochip/core'
import { cie1931 } from '../data/cie1931.ts'
import { grid, resample, type Spectrum, sumOf } from './grid.ts'

const observer = {
  x: resample(cie1931.x, grid.start, grid.step, 'zero'),
  y: resample(cie1931.y, grid.start, grid.step, 'zero'),
  z: resample(cie1931.z, grid.start, grid.step, 'zero'),
}

/** The weights that turn a reflectance into XYZ: observer × power, scaled so that Y = 1 for a perfect diffuser. */
export function xyzWeights(power: Spectrum): readonly [Spectrum, Spectrum, Spectrum] {
  const scale = 1 / sumOf(power, observer.y)
  const weight = (curve: Spectrum) => curve.map((value, i) => value * power[i]! * scale)
  return [weight(observer.x), weight(observer.y), weight(observer.z)]
}

/**
 * XYZ of a reflectance under a light, CIE 1931 2° observer, Y = 1 for a perfect diffuser; without a reflectance, of
 * the perfect diffuser itself. Sums by 5 nm (CIE 015:2018).
 */
export function xyzOf(power: Spectrum, reflectance?: Spectrum): Vec3 {
  const scale = 1 / sumOf(power, observer.y)
  return [
    sumOf(power, observer.x, reflectance) * scale,
    sumOf(power, observer.y, reflectance) * scale,
    sumOf(power, observer.z, reflectance) * scale,
  ]
}
