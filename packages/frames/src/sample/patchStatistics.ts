import type { Vec3 } from '@isochip/core'
import type { Frame } from '../frame/frame.ts'
import { boxOf } from './area/areaBox.ts'
import type { ClipLimits } from './clipLimits.ts'
import type { SampleLight } from './lightTables.ts'
import { lightSlopes, lightsOf } from './patchLight.ts'
import { gate, patchPlane } from './patchPlane.ts'
import { patchSums } from './patchSums.ts'
import { perChannel } from './perChannel.ts'

/** What the pixels of one patch say, in sample values of the frame. */
export interface PatchStatistics {
  /** Mean of the pixels that belong to the patch. */
  readonly mean: Vec3
  /** Mean of their light and its scatter, where it was asked for. */
  readonly light?: { readonly mean: Vec3; readonly sd: Vec3 }
  /** Standard deviation of a single pixel about the patch's own gradient. */
  readonly sd: Vec3
  /** Standard error of the mean; from the means of blocks, so that noise that hangs together counts as such. */
  readonly standardError: Vec3
  /** Change of the level across the frame's x and y over the whole sampled area. */
  readonly gradient: { readonly x: Vec3; readonly y: Vec3 }
  /** Distance between neighbouring codes of the source; 0 where it is not known. */
  readonly step: Vec3
  /** Pixels that the mean is of. */
  readonly pixels: number
  /**
   * Share of the pixels that are foreign to the patch, and left out: dust, scratches, print, glints. 0…1; 1 where no pixel is
   * like the others in all channels: the mean is of all then.
   */
  readonly rejected: number
  /** Share of all pixels with a channel at or beyond the limits of the code range, 0…1. */
  readonly clipped: number
}

/** A distance that every finite sample is within. */
const anything = Number.MAX_VALUE / gate

// Standard deviation of a normal distribution cut off at ±3σ: sqrt(1 − 2·3·φ(3)/(2Φ(3) − 1)) of the full one.
const cutOff = 0.98658

/**
 * Robust statistics of the pixels in a quad, per channel. A plane is fitted first; a pixel whose distance from it
 * is over three standard deviations in any channel is foreign to the patch and left out, so dust, a scratch or a
 * printed letter over up to a third of the area moves the mean by far less than its noise. Where that leaves none, all count.
 *
 * @param runs pixel runs of the area, from `figureRows`
 * @param light for the mean of light; the three standard deviations are of light then, in which noise is even
 * @returns `undefined` when no pixel of the area has three finite samples
 */
export function patchStatistics(
  frame: Frame,
  runs: Int32Array,
  limits: ClipLimits,
  light?: SampleLight,
): PatchStatistics | undefined {
  const { data, width, codeScale } = frame
  const box = boxOf(runs)
  const { x0, x1, y0, y1, total } = box
  if (total === 0) return undefined
  const plane = patchPlane(frame, runs, box)
  if (plane === undefined) return undefined
  const inLight = light && {
    lights: lightsOf(data, width, runs, total, light),
    slopes: lightSlopes(plane, light, codeScale),
  }
  const near = patchSums(frame, runs, box, limits, plane, inLight)
  // Of a pattern most pixels may be one level in each channel, and none in all three: nothing there is the patch's own.
  const sums =
    near.used > 0
      ? near
      : patchSums(
          frame,
          runs,
          box,
          limits,
          { ...plane, scale: [anything, anything, anything] },
          inLight && { ...inLight, slopes: { ...inLight.slopes, reach: [anything, anything, anything] } },
        )
  const { used, blockCount, blockSum } = sums
  if (used === 0) return undefined

  const statistics = [0, 1, 2].map((channel) => {
    let sum = 0
    for (let b = 0; b < blockCount.length; b++) sum += blockSum[3 * b + channel]!
    const offset = sum / used
    const squares = sums.squares[channel]!
    const variance = used > 1 ? Math.max(0, (squares - used * offset * offset) / (used - 1)) : 0
    const sd = Math.sqrt(variance) / cutOff
    return {
      mean: plane.level[channel]! + offset,
      sd,
      error: standardError(blockSum, blockCount, channel, offset, sd, used),
    }
  })
  const lightMean = perChannel((c) => sums.light[c] / used)
  return {
    mean: perChannel((c) => statistics[c]!.mean),
    ...(light === undefined
      ? {}
      : {
          light: {
            mean: lightMean,
            sd: perChannel((c) => Math.sqrt(Math.max(0, sums.lightSquares[c] / used - lightMean[c] ** 2))),
          },
        }),
    sd: perChannel((c) => statistics[c]!.sd),
    standardError: perChannel((c) => statistics[c]!.error),
    gradient: {
      x: perChannel((c) => plane.slopeX[c] * (x1 - x0)),
      y: perChannel((c) => plane.slopeY[c] * (y1 - y0)),
    },
    step: plane.step,
    pixels: used,
    rejected: 1 - near.used / total,
    clipped: sums.clipped / total,
  }
}

/** The larger of sd/√n and the scatter of the block means: the latter sees blocks, stripes and filtered noise. */
function standardError(
  sums: Float64Array,
  counts: Float64Array,
  channel: number,
  mean: number,
  sd: number,
  used: number,
): number {
  const independent = sd / Math.sqrt(used)
  let spread = 0
  let filled = 0
  for (let b = 0; b < counts.length; b++) {
    const count = counts[b]!
    if (count < 8) continue
    filled++
    // Weighted by the square of the block's share in the mean: the variance of a weighted sum.
    spread += (count / used) ** 2 * (sums[3 * b + channel]! / count - mean) ** 2
  }
  return filled < 9 ? independent : Math.max(independent, Math.sqrt((spread * filled) / (filled - 1)))
}
