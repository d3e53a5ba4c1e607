import { ln, quickPow } from '@isochip/core'
import type { Frame } from '../../frame/frame.ts'
import { constants } from '../constants.ts'
import { type PictureKernel, pictureKernel } from './pictureKernel.ts'
import { shrink } from './shrink.ts'

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

/** A level of the frame v becomes ((v − low) / range)^bend. */
export interface Tone {
  readonly low: number
  readonly range: number
  readonly bend: number
  /** Powers of levels up to 1, between which straight lines do; none where nothing is bent. */
  readonly powers: Float64Array | undefined
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
  return { ...size, data, ...stretch(data) }
}

export type Size = Pick<WorkingImage, 'width' | 'height' | 'scale'>

/** Size of a working image of which no side is longer than this. */
export function sizeWithin({ width, height }: Pick<Frame, 'width' | 'height'>, longest: number): Size {
  const scale = Math.min(1, longest / Math.max(width, height))
  const side = (pixels: number) => Math.max(1, Math.floor(pixels * scale + 1e-9))
  return { width: side(width), height: side(height), scale }
}

/** Stretches and bends every channel in place. */
function stretch(data: Float32Array): Pick<WorkingImage, 'clip' | 'tones'> {
  const { darkMiddle, strongestBend, narrowest, ceiling, clipPile, clipMargin } = constants.prepare
  const clip: [number, number, number] = [2, 2, 2]
  const ends = extremes(data)
  const tones = ends.map(([least, most], channel): Tone => {
    const all = quantiles(data, channel, least, most)
    const room = all(constants.prepare.coarseTop) * constants.prepare.coarseRoom + 1e-6
    const fine = room < most ? quantiles(data, channel, least, room) : all
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
  bent(data, 0, data.length, tones)
  return { clip, tones }
}

/** Least and largest value of each channel. */
function extremes(data: Float32Array): (readonly [least: number, most: number])[] {
  let [r, g, b] = [data[0]!, data[1]!, data[2]!]
  let [moreR, moreG, moreB] = [r, g, b]
  for (let i = 3; i < data.length; i += 3) {
    const red = data[i]!
    const green = data[i + 1]!
    const blue = data[i + 2]!
    if (red < r) r = red
    if (red > moreR) moreR = red
    if (green < g) g = green
    if (green > moreG) moreG = green
    if (blue < b) b = blue
    if (blue > moreB) moreB = blue
  }
  return [
    [r, moreR],
    [g, moreG],
    [b, moreB],
  ]
}

/** Stretches and bends samples `from` to `end` in place, red, green, blue. */
export function bent(data: Float32Array, from: number, end: number, tones: readonly Tone[]): void {
  for (const [channel, tone] of tones.entries()) bendChannel(data, from + channel, end, tone)
}

function bendChannel(
  data: Float32Array,
  from: number,
  end: number,
  { low, range, bend, powers }: Tone,
): void {
  const { ceiling } = constants.prepare
  for (let i = from; i < end; i += 3) {
    const level = (data[i]! - low) / range
    if (level <= 0) data[i] = 0
    else if (powers === undefined) data[i] = Math.min(ceiling, level)
    else if (level < leastOfPowers || level >= 1) data[i] = Math.min(ceiling, quickPow(level, bend))
    else {
      const place = level * steps
      const k = Math.floor(place)
      data[i] = powers[k]! + (place - k) * (powers[k + 1]! - powers[k]!)
    }
  }
}

const steps = 4096
/** Below it they bend too much. */
const leastOfPowers = 1 / 64

const powersOf = (bend: number) =>
  Float64Array.from({ length: steps + 1 }, (_, k) => (k === 0 ? 0 : quickPow(k / steps, bend)))

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
  // Of large pictures an odd share of the pixels, so that it does not go along columns.
  const nth = 2 * Math.floor(data.length / 3 / constants.prepare.counted / 2) + 1
  let count = 0
  for (let i = channel; i < data.length; i += 3 * nth) {
    histogram[Math.floor(Math.min(last, (data[i]! - from) * step))]!++
    count++
  }
  return (share) => {
    let sum = 0
    for (let bin = 0; bin < bins; bin++) {
      sum += histogram[bin]!
      if (sum >= share * count) return from + (bin + 0.5) / step
    }
    return to
  }
}
