import { ln, quickPow } from '@isochip/core'
import type { Frame } from '../../frame/frame.ts'
import { constants } from '../constants.ts'
import { finiteSamples } from './finiteSamples.ts'

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
 */
export function workingImage(frame: Frame, longest: number): WorkingImage {
  const size = sizeWithin(frame, longest)
  const data = shrink(frame, size)
  return { ...size, data, ...stretch(data) }
}

type Size = Pick<WorkingImage, 'width' | 'height' | 'scale'>

/** Size of a working image of which no side is longer than this. */
export function sizeWithin({ width, height }: Pick<Frame, 'width' | 'height'>, longest: number): Size {
  const scale = Math.min(1, longest / Math.max(width, height))
  const side = (pixels: number) => Math.max(1, Math.floor(pixels * scale + 1e-9))
  return { width: side(width), height: side(height), scale }
}

function shrink(frame: Frame, { width, height, scale }: Size): Float32Array {
  const { width: fw, height: fh, data } = frame
  const out = new Float32Array(3 * width * height)
  // Of each working pixel the first frame pixel that begins in it, and the share of its last one that falls into it.
  const begin = new Int32Array(width + 2).fill(fw)
  const share = new Float64Array(width + 1)
  for (let x = fw - 1; x >= 0; x--) {
    const place = x * scale
    const whole = Math.floor(place)
    const to = Math.min(whole, width)
    const last = begin[to] === fw
    if (last) share[to] = Math.min(1, (whole + 1 - place) / scale)
    begin[to] = x
  }
  const row = new Float64Array(3 * (width + 2))
  const weight = (scale * scale) / frame.codeScale
  for (let sy = 0; sy < fh; sy++) {
    const samples = data.subarray(3 * sy * fw, 3 * (sy + 1) * fw)
    addRow(finiteSamples(samples), begin, share, row)
    const y = Math.floor(sy * scale)
    const first = Math.min(1, (y + 1 - sy * scale) / scale)
    addLine(out, y, height, width, row, first * weight)
    addLine(out, y + 1, height, width, row, (1 - first) * weight)
  }
  return out
}

/** A function of its own, which the engine makes fast code of: most of the time goes here. */
function addLine(
  out: Float32Array,
  line: number,
  lines: number,
  width: number,
  row: Float64Array,
  weight: number,
): void {
  if (line >= lines || weight <= 0) return
  const to = 3 * width * line
  for (let k = 0; k < 3 * width; k++) out[to + k]! += row[k]! * weight
}

/**
 * A row of pixels by the working pixels under which they lie, the last of each in its shares. Sums stay at hand until they are
 * whole: to add to the same place of an array over and over is to wait for it.
 */
function addRow(samples: Frame['data'], begin: Int32Array, share: Float64Array, row: Float64Array): void {
  let [r, g, b] = [0, 0, 0]
  for (let to = 0; to < share.length; to++) {
    const last = 3 * (begin[to + 1]! - 1)
    let at = 3 * begin[to]!
    if (at > last) {
      // The rest on the right may have no pixel of its own.
      row[3 * to] = r
      row[3 * to + 1] = g
      row[3 * to + 2] = b
      continue
    }
    for (; at < last; at += 3) {
      r += samples[at]!
      g += samples[at + 1]!
      b += samples[at + 2]!
    }
    const part = share[to]!
    row[3 * to] = r + samples[at]! * part
    row[3 * to + 1] = g + samples[at + 1]! * part
    row[3 * to + 2] = b + samples[at + 2]! * part
    const rest = 1 - part
    r = rest > 0 ? samples[at]! * rest : 0
    g = rest > 0 ? samples[at + 1]! * rest : 0
    b = rest > 0 ? samples[at + 2]! * rest : 0
  }
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
