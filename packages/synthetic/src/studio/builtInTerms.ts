import { resolvePrimaries } from '@isochip/core'
import { cameraMatrix } from '../camera/cameraMatrix.ts'
import type { LightName } from '../spectrum/light.ts'
import { type SensorName, sensorNames } from '../spectrum/sensorResponse.ts'

const lights: readonly LightName[] = ['A', 'D50', 'D65', 'LED-B3', 'FL2', 'FL11']
/** Sensors that are not among the measured ones differ from them by this much more, in each term. */
const unseen = 0.08

/**
 * Mean and covariance of the six terms (rg, rb, gr, gb, br, bg) of the matrices that measured sensors would have built
 * in, in BT.709, over six lights.
 *
 * @param without a sensor that is not to be known.
 */
export function builtInTerms(without?: SensorName): {
  readonly mean: readonly number[]
  readonly covariance: readonly (readonly number[])[]
} {
  const primaries = resolvePrimaries('bt709')
  const all = sensorNames
    .filter((sensor) => sensor !== without)
    .flatMap((sensor) =>
      lights.map((light) => {
        const m = cameraMatrix(sensor, light, primaries)
        return [m[0][1], m[0][2], m[1][0], m[1][2], m[2][0], m[2][1]]
      }),
    )
  const mean = Array.from(
    { length: 6 },
    (_, i) => all.reduce((sum, terms) => sum + terms[i]!, 0) / all.length,
  )
  const covariance = mean.map((_, i) =>
    mean.map(
      (_, j) =>
        all.reduce((sum, terms) => sum + (terms[i]! - mean[i]!) * (terms[j]! - mean[j]!), 0) /
          (all.length - 1) +
        (i === j ? unseen ** 2 : 0),
    ),
  )
  return { mean, covariance }
}
