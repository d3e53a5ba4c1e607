import { base64Bytes } from '../base64Bytes.ts'
import { exp } from '../elementary/exp.ts'
import { once } from '../once.ts'
import { knots } from './knots.ts'
import { sensorPriorTable } from './sensorPriorTable.ts'

/**
 * What cameras under lights are like, before one has been seen: the second moment Σ of light × sensitivity as weights on
 * the knots of a reflectance, each channel scaled to 1 on white; knots × knots, row-major. Pooled over the measured
 * sensors of Jiang et al. 2013 and the 2° observer under lights of CIE 15 (`scripts/writeSensorPrior.ts`).
 */
export interface SensorPrior {
  readonly moment: Float64Array
}

/** Sensors and lights that were not measured differ smoothly from those that were: by so much of the variance … */
const unlikeShare = 0.001
/** … over so many nm. */
const unlikeWidth = 40

/** The prior of a pooled second moment: to it comes what sensors and lights beyond the measured ones may do. */
export function priorOf(pooled: ArrayLike<number>): SensorPrior {
  const n = knots.count
  const moment = Float64Array.from(pooled)
  for (let i = 0; i < n; i++) {
    for (let j = 0; j < n; j++) {
      const apart = ((i - j) * knots.step) / unlikeWidth
      moment[i * n + j]! +=
        unlikeShare * exp((-apart * apart) / 2) * Math.sqrt(pooled[i * n + i]! * pooled[j * n + j]!)
    }
  }
  return { moment }
}

/** The prior that comes with isochip. */
export const sensorPrior: () => SensorPrior = once(() => {
  const n = knots.count
  const upper = new Float32Array(base64Bytes(sensorPriorTable).buffer)
  const pooled = new Float64Array(n * n)
  let at = 0
  for (let i = 0; i < n; i++) {
    for (let j = i; j < n; j++) {
      pooled[i * n + j] = upper[at]!
      pooled[j * n + i] = upper[at++]!
    }
  }
  return priorOf(pooled)
})
