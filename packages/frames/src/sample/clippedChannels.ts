import type { Vec3 } from '@isochip/core'
import type { Frame } from '../frame/frame.ts'
import type { ClipLimits } from './clipLimits.ts'
import { perChannel } from './perChannel.ts'

/** Share of an area's pixels at the bottom and at the top of the code range, by channel, 0…1. */
export interface ClippedChannels {
  readonly low: Vec3
  readonly high: Vec3
}

/** @param runs pixel runs of the area, from `figureRows` */
export function clippedChannels(
  frames: readonly Frame[],
  runs: Int32Array,
  { low, high }: ClipLimits,
): ClippedChannels {
  const atLow = new Int32Array(3)
  const atHigh = new Int32Array(3)
  let total = 0
  for (const { data, width } of frames) {
    for (let r = 0; r < runs.length; r += 3) {
      const from = 3 * (runs[r]! * width + runs[r + 1]!)
      const end = 3 * (runs[r]! * width + runs[r + 2]!)
      total += (end - from) / 3
      // The samples of red, green and blue one after the other.
      for (let at = from, c = 0; at < end; at++, c = c < 2 ? c + 1 : 0) {
        const value = data[at]!
        if (value <= low) atLow[c]!++
        else if (value >= high) atHigh[c]!++
      }
    }
  }
  const shares = (counts: Int32Array) => perChannel((c) => counts[c]! / Math.max(total, 1))
  return { low: shares(atLow), high: shares(atHigh) }
}
