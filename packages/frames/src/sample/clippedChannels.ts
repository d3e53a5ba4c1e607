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
  const counts = { low: [0, 0, 0], high: [0, 0, 0] }
  let total = 0
  for (const { data, width } of frames) {
    for (let r = 0; r < runs.length; r += 3) {
      const end = 3 * (runs[r]! * width + runs[r + 2]!)
      for (let at = 3 * (runs[r]! * width + runs[r + 1]!); at < end; at += 3) {
        total++
        for (let c = 0; c < 3; c++) {
          if (data[at + c]! <= low) counts.low[c]!++
          else if (data[at + c]! >= high) counts.high[c]!++
        }
      }
    }
  }
  return {
    low: perChannel((c) => counts.low[c]! / Math.max(total, 1)),
    high: perChannel((c) => counts.high[c]! / Math.max(total, 1)),
  }
}
