import type { ResidualSlopes } from '../fit/residualSlopes.ts'
import { apply3, invert3 } from '../linear/mat3.ts'
import type { Samples } from '../samples/samples.ts'
import { nearTop, sharesTop, topOfChannel } from './columns.ts'

/** By which share a bright channel must be too low to have clipped, and how much less the others may be too high. */
const tooLow = 0.04
const hardlyHigh = 0.5

/** Is a patch off because a bright channel of source or target reads too low? */
export function looksClipped(
  off: Float64Array,
  p: number,
  slopes: ResidualSlopes,
  samples: Samples,
): boolean {
  return (['source', 'target'] as const).some((of) => {
    const s = slopes[of === 'source' ? 'bySource' : 'byTarget'].subarray(9 * p, 9 * p + 9)
    const back = invert3([
      [s[0]!, s[1]!, s[2]!],
      [s[3]!, s[4]!, s[5]!],
      [s[6]!, s[7]!, s[8]!],
    ])
    if (back === undefined) return false
    const light = samples[of]
    const shift = apply3(back, [off[0]!, off[1]!, off[2]!])
    const relative = shift.map((value, c) => value / Math.max(light[3 * p + c]!, 1e-9))
    const lowest = Math.min(
      ...relative.filter((_, c) => {
        const bright = light[3 * p + c]! >= nearTop * topOfChannel(light, c)
        return bright && (of === 'source' || sharesTop(light, c))
      }),
    )
    return lowest < -tooLow && relative.every((value) => value < -hardlyHigh * lowest)
  })
}
