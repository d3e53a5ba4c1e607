import { quickPow } from '@isochip/core'
import { constants } from '../constants.ts'
import { KernelRoom } from './kernelRoom.ts'
import type { PictureKernel } from './pictureKernel.ts'

/** A level of the frame v becomes ((v − low) / range)^bend. */
export interface Tone {
  readonly low: number
  readonly range: number
  readonly bend: number
  /** Powers of levels up to 1, between which straight lines do; none where nothing is bent. */
  readonly powers: Float64Array | undefined
}

const steps = 4096
/** Below it powers bend too much. */
const least = 1 / 64
/** Pixels that the kernel works on at once: few enough to stay in the cache. */
const most = 8192

export const powersOf = (bend: number) =>
  Float64Array.from({ length: steps + 1 }, (_, k) => (k === 0 ? 0 : quickPow(k / steps, bend)))

/**
 * Least and largest value of each channel.
 *
 * @param kernel same with and without (`null`)
 */
export function extremes(
  data: Float32Array,
  kernel: PictureKernel | null,
): (readonly [least: number, most: number])[] {
  const ends = new Float32Array(8)
  ends.set(data.subarray(0, 3))
  ends.set(data.subarray(0, 3), 4)
  if (kernel === null) plainExtremes(data, ends)
  else {
    const room = new KernelRoom(kernel)
    const at = room.place(ends)
    inPieces(data, kernel, room, (from, count) => kernel.run.extremes!(from, count / 3, at))
    ends.set(kernel.singles(0).subarray(at / 4, at / 4 + 8))
  }
  return [0, 1, 2].map((channel) => [ends[channel]!, ends[channel + 4]!])
}

function plainExtremes(data: Float32Array, ends: Float32Array): void {
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
  ends.set([r, g, b, 0, moreR, moreG, moreB])
}

/**
 * Stretches and bends all samples in place.
 *
 * @param kernel same bytes with and without (`null`)
 */
export function bendAll(data: Float32Array, tones: readonly Tone[], kernel: PictureKernel | null): void {
  if (kernel === null) {
    bent(data, 0, data.length, tones)
    return
  }
  const room = new KernelRoom(kernel)
  const left = room.take(4 * most)
  const powers = tones.map((tone) => (tone.powers === undefined ? -1 : room.place(tone.powers)))
  inPieces(data, kernel, room, (from, count) => {
    const end = from + 4 * count
    for (const [channel, tone] of tones.entries()) {
      const { low, range, bend } = tone
      const at = from + 4 * channel
      if (powers[channel]! < 0) kernel.run.stretch!(at, end, low, range, constants.prepare.ceiling)
      else {
        const beyond = kernel.run.bend!(at, end, low, range, powers[channel]!, steps, least, left)!
        const singles = kernel.singles(0)
        const places = kernel.wholes()
        for (let k = left / 4; k < left / 4 + beyond; k++) {
          const place = places[k]! / 4
          singles[place] = power((singles[place]! - low) / range, bend)
        }
      }
    }
    return kernel.singles(0).subarray(from / 4, from / 4 + count)
  })
}

/** Copies a few pixels after the other into the kernel, and what comes of them back. */
function inPieces(
  data: Float32Array,
  kernel: PictureKernel,
  room: KernelRoom,
  work: (from: number, count: number) => unknown,
): void {
  const from = room.take(12 * most)
  for (let at = 0; at < data.length; at += 3 * most) {
    const piece = data.subarray(at, at + 3 * most)
    kernel.singles(0).set(piece, from / 4)
    const made = work(from, piece.length)
    if (made instanceof Float32Array) piece.set(made)
  }
}

const power = (level: number, bend: number) => Math.min(constants.prepare.ceiling, quickPow(level, bend))

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
    else if (level < least || level >= 1) data[i] = power(level, bend)
    else {
      const place = level * steps
      const k = Math.floor(place)
      data[i] = powers[k]! + (place - k) * (powers[k + 1]! - powers[k]!)
    }
  }
}
