import { ln, quickPow } from '@isochip/core'
import type { Frame } from '../../frame/frame.ts'
import { constants } from '../constants.ts'
import { type PictureKernel, pictureKernel } from './pictureKernel.ts'
import { type Size, shrink } from './shrink.ts'
import { bendAll, extremes, powersOf, type Tone } from './tones.ts'

/**
 * A frame made ready for the search: smaller, every channel stretched over 0…1 and bent so that its middle tone is
 * in the middle, whatever the exposure, the light and the encoding.
 */
export interface WorkingImage {
  readonly width: number
  readonly height: number
  /** Interleaved RGB. */
  readonly data: Float32Array
  /** Working pixels per frame pixel. */
  readonly scale: number
  /** Makes the samples of a part, in pixels, ends included, of an image that is made where it is looked at. */
  readonly need?: (left: number, top: number, right: number, bottom: number) => void
  /** Level of a channel at and beyond which it clips at the top; above 1 where nothing does. */
  readonly clip: readonly [number, number, number]
  /** How each channel was stretched and bent. */
  readonly tones: readonly Tone[]
}

/**
 * Each working pixel is the mean of the frame pixels under it, those that it covers in part by that part; a rest
 * narrower than a working pixel on the right and below is left away. Samples that are not finite count as 0.
 *
 * @param kernel same bytes with and without (`null`)
 */
export function workingImage(
  frame: Frame,
  longest: number,
  kernel: PictureKernel | null = pictureKernel(),
): WorkingImage {
  const size = sizeWithin(frame, longest)
  const data = shrink(frame, size, kernel)
  return { ...size, data, ...stretch(data, kernel) }
}

/** Size of a working image of which no side is longer than this. */
export function sizeWithin({ width, height }: Pick<Frame, 'width' | 'height'>, longest: number): Size {
  const scale = Math.min(1, longest / Math.max(width, height))
  const side = (pixels: number) => Math.max(1, Math.floor(pixels * scale + 1e-9))
  return { width: side(width), height: side(height), scale }
}

/** Stretches and bends every channel in place. */
function stretch(data: Float32Array, kernel: PictureKernel | null): Pick<WorkingImage, 'clip' | 'tones'> {
  const { darkMiddle, strongestBend, narrowest, ceiling, clipPile, clipMargin } = constants.prepare
  const clip: [number, number, number] = [2, 2, 2]
  const ends = extremes(data, kernel)
  const some = somePixels(data)
  const tones = ends.map(([least, most], channel): Tone => {
    const all = quantiles(some, channel, least, most)
    const room = all(constants.prepare.coarseTop) * constants.prepare.coarseRoom + 1e-6
    const fine = room < most ? quantiles(some, channel, least, room) : all
    const low = fine(constants.prepare.low)
    const high = fine(constants.prepare.high)
    const range = Math.max(high - low, narrowest)
    const tone = Math.max(0.02, Math.min(0.98, (fine(0.5) - low) / range))
    // Linear light and underexposed frames have their middle tone far down; bring it up, but never bend the other way.
    const bend = tone < darkMiddle ? Math.max(strongestBend, ln(constants.prepare.middle) / ln(tone)) : 1
    const level = (most - low) / range
    if (most - high < clipPile * range)
      clip[channel] = Math.min(ceiling, bend === 1 ? level : quickPow(level, bend)) - clipMargin
    return { low, range, bend, powers: bend === 1 ? undefined : powersOf(bend) }
  })
  bendAll(data, tones, kernel)
  return { clip, tones }
}

/** Of large pictures an odd share of the pixels, so that it does not go along columns. */
function somePixels(data: Float32Array): Float32Array {
  const nth = 2 * Math.floor(data.length / 3 / constants.prepare.counted / 2) + 1
  if (nth === 1) return data
  const some = new Float32Array(3 * Math.ceil(data.length / 3 / nth))
  for (let to = 0, i = 0; to < some.length; to += 3, i += 3 * nth) {
    some[to] = data[i]!
    some[to + 1] = data[i + 1]!
    some[to + 2] = data[i + 2]!
  }
  return some
}

/**
 * Level of a channel below which a share of its samples lies, by a histogram over `from`…`to`.
 *
 * @param from no sample lies below it
 */
function quantiles(data: Float32Array, channel: number, from: number, to: number): (share: number) => number {
  const { bins } = constants.prepare
  const histogram = new Int32Array(bins)
  const step = bins / Math.max(to - from, 1e-9)
  const last = bins - 1
  for (let i = channel; i < data.length; i += 3)
    histogram[Math.floor(Math.min(last, (data[i]! - from) * step))]!++
  const count = data.length / 3
  return (share) => {
    let sum = 0
    for (let bin = 0; bin < bins; bin++) {
      sum += histogram[bin]!
      if (sum >= share * count) return from + (bin + 0.5) / step
    }
    return to
  }
}
