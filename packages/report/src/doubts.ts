import type { WarningCode } from '@isochip/core'
import type { Shape } from '@isochip/core/shapes'
import type { doubt } from './data/reportShape.ts'
import type { FittedCamera, Tolerance } from './showReport.ts'

/** A reason why the figures of a match are not to be taken at their word. */
export interface Doubt extends Shape<typeof doubt> {}

/**
 * Cautions of a match that put its figures in doubt. A caution with another code is worth knowing, and no more; but for a
 * borrowed match, whose figures are those of another setup until a chart is shot again.
 */
export const doubtCodes: readonly WarningCode[] = [
  'encoding-doubtful',
  'range-doubtful',
  'chart-misread',
  'target-misread',
]

type Reason = (camera: FittedCamera, tolerance: Tolerance) => readonly Doubt[]

/** Whatever can put a match in doubt, in the order in which it is said. */
const reasons: readonly Reason[] = [
  ({ match: { warnings } }) =>
    warnings
      .filter(({ code }) => code === 'borrowed-match' || doubtCodes.includes(code))
      .map(({ code, message }): Doubt => ({ code, message })),
  ({ match: { diagnosis } }, { mean }) =>
    diagnosis.expected === undefined || diagnosis.expected.mean <= mean
      ? []
      : [
          {
            code: 'expected-beyond',
            message: `materials that are not on the chart are expected at mean ΔE00 ${diagnosis.expected.mean.toFixed(2)}, beyond the tolerance of ${mean.toFixed(2)}`,
          },
        ],
]

/** Why a match may be worse than its figures; empty where nothing speaks against them. */
export function doubtsOf(camera: FittedCamera, tolerance: Tolerance): Doubt[] {
  return reasons.flatMap((reason) => reason(camera, tolerance))
}
