import {
  adaptation,
  apply3,
  illuminantWhites,
  type Mat3,
  multiply3,
  type Primaries,
  type Vec3,
  xyzToRgb,
} from '@isochip/core'
import { type Spectrum, sumOf } from '../spectrum/grid.ts'
import { type Light, lightPower } from '../spectrum/light.ts'
import { materials } from '../spectrum/materials.ts'
import { type SensorName, sensorWeights } from '../spectrum/sensorResponse.ts'
import { xyzOf, xyzWeights } from '../spectrum/xyzOf.ts'

/** The row (a, b, 1 − a − b) that brings the inputs nearest to the outputs. */
function row(inputs: readonly Vec3[], outputs: readonly number[]): Vec3 {
  let [aa, ab, bb, ay, by] = [0, 0, 0, 0, 0]
  inputs.forEach(([r, g, b], i) => {
    const p = r - b
    const q = g - b
    const y = outputs[i]! - b
    aa += p * p
    ab += p * q
    bb += q * q
    ay += p * y
    by += q * y
  })
  const det = aa * bb - ab * ab
  const first = (ay * bb - by * ab) / det
  const second = (by * aa - ay * ab) / det
  return [first, second, 1 - first - second]
}

/**
 * The matrix that a camera's maker would build in: white-balanced sensor RGB under a light → linear RGB in the given
 * primaries, least squares over 120 materials that are on no chart; white stays white (rows sum to 1). The colours
 * aimed at are those of the CIE observer under the same light, adapted to the primaries' white.
 */
export function cameraMatrix(sensor: SensorName, light: Light, primaries: Primaries): Mat3 {
  const power = lightPower(light)
  const [x, y, z] = xyzOf(power)
  const sum = x + y + z
  const toRgb = multiply3(
    xyzToRgb(primaries),
    multiply3(
      adaptation(illuminantWhites.D65, primaries.white, 'bradford'),
      adaptation([x / sum, y / sum], illuminantWhites.D65, 'bradford'),
    ),
  )
  const through = ([a, b, c]: readonly [Spectrum, Spectrum, Spectrum], reflectance: Spectrum): Vec3 => [
    sumOf(a, reflectance),
    sumOf(b, reflectance),
    sumOf(c, reflectance),
  ]
  const eye = xyzWeights(power)
  const camera = sensorWeights(sensor, power)
  const training = materials(1, 120).map(({ reflectance }) => ({
    seen: through(camera, reflectance),
    meant: apply3(toRgb, through(eye, reflectance)),
  }))
  const seen = training.map((one) => one.seen)
  const channel = (c: 0 | 1 | 2) =>
    row(
      seen,
      training.map((one) => one.meant[c]),
    )
  return [channel(0), channel(1), channel(2)]
}
