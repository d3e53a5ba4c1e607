import { apply3, diagonal3, invert3, multiply3, type Vec3 } from '../linear/mat3.ts'
import { applyModel, balancedSlopes, levelledLight, type MatchModel } from '../model/model.ts'
import type { Samples } from '../samples/samples.ts'
import { nearTop, sharesTop, topOfChannel } from './columns.ts'

/** By which share a bright channel must be too low to have clipped, and how much less the others may be too high. */
const tooLow = 0.04
const hardlyHigh = 0.5

/** Is a patch off because a bright channel of source or target reads too low? In light, since what clips may be off by a third. */
export function looksClipped(p: number, model: MatchModel, samples: Samples): boolean {
  const at = (of: Float64Array): Vec3 => [of[3 * p]!, of[3 * p + 1]!, of[3 * p + 2]!]
  const [light, aim] = [at(samples.source), at(samples.target)]
  const matched = applyModel(model, light)
  const missing: Vec3 = [aim[0] - matched[0], aim[1] - matched[1], aim[2] - matched[2]]
  const back = invert3(multiply3(balancedSlopes(model, levelledLight(model, light)), diagonal3(model.gain)))
  if (back !== undefined && tooLowIn('source', apply3(back, missing))) return true
  return tooLowIn('target', [-missing[0], -missing[1], -missing[2]])

  /** @param lost the light that is missing in each channel. */
  function tooLowIn(of: 'source' | 'target', lost: Vec3): boolean {
    const own = of === 'source' ? light : aim
    const relative = lost.map((value, c) => value / Math.max(own[c]!, 1e-9))
    const most = Math.max(
      ...relative.filter((_, c) => {
        const bright = own[c]! >= nearTop * topOfChannel(samples[of], c)
        return bright && (of === 'source' || sharesTop(samples[of], c))
      }),
    )
    return most > tooLow && relative.every((value) => value > -hardlyHigh * most)
  }
}
