import type { Viewer } from '../colour/viewer.ts'
import type { Mat3 } from '../linear/mat3.ts'
import type { SensorPrior } from '../prior/sensorPrior.ts'

/** What all fits of one camera have in common. */
export interface FitContext {
  /** Camera primaries → working primaries, as declared. */
  readonly declared: Mat3
  readonly viewer: Viewer
  readonly objective: 'linear' | 'perceptual'
  /** What cameras are like; default `sensorPrior`. For judging it on sensors that it has not seen. */
  readonly sensors?: SensorPrior
}
