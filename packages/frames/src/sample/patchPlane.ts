import type { Vec3 } from '@isochip/core'
import type { Frame } from '../frame/frame.ts'
import type { AreaBox } from './area/areaBox.ts'
import { orderStatistic } from './orderStatistic.ts'
import { perChannel } from './perChannel.ts'
import { stepInUse } from './stepInUse.ts'

/** The plane that a patch's levels lie on, per channel. */
export interface PatchPlane {
  /** At the middle of the area's box. */
  readonly level: Vec3
  /** Per pixel. */
  readonly slopeX: Vec3
  readonly slopeY: Vec3
  /** Scatter about the plane, as a standard deviation. */
  readonly scale: Vec3
  /** Distance between neighbouring codes of the source, estimated where nothing states it; 0 where it is not known. */
  readonly step: Vec3
}

/** Pixels looked at to find the level and scatter, before all are used. */
const scoutPixels = 1024
/** Pixels further from the patch's plane than this many standard deviations are foreign to it. */
export const gate = 3
/** 1/Φ⁻¹(¾): median absolute deviation → standard deviation, for a normal distribution. */
export const madToSd = 1.4826

/**
 * The plane, from a thousand pixels spread over the area.
 *
 * @returns `undefined` when none of them has three finite samples
 */
export function patchPlane(frame: Frame, runs: Int32Array, box: AreaBox): PatchPlane | undefined {
  const { xs, ys, samples } = spread(frame.data, frame.width, runs, box)
  if (samples.length === 0) return undefined
  return scout(frame, xs, ys, samples)
}

/** Numbers of pixels at even distances along the runs, as places of their red sample, and where they lie. */
function spread(data: Frame['data'], width: number, runs: Int32Array, { total, midX, midY }: AreaBox) {
  const step = total / Math.min(total, scoutPixels)
  const most = Math.min(total, scoutPixels) + 1
  const samples = new Int32Array(most)
  const xs = new Float64Array(most)
  const ys = new Float64Array(most)
  let count = 0
  let next = step / 2
  let passed = 0
  for (let r = 0; r < runs.length; r += 3) {
    const from = runs[r + 1]!
    const length = runs[r + 2]! - from
    for (; next < passed + length; next += step) {
      const x = from + Math.floor(next - passed)
      const at = 3 * (runs[r]! * width + x)
      if (!Number.isFinite(data[at]! + data[at + 1]! + data[at + 2]!)) continue
      samples[count] = at
      xs[count] = x - midX
      ys[count] = runs[r]! - midY
      count++
    }
    passed += length
  }
  return { xs: xs.subarray(0, count), ys: ys.subarray(0, count), samples: samples.subarray(0, count) }
}

type Three = [number, number, number]

/** By the pixels near each channel's median in all channels: a plane of theirs, and the scatter of all about it. */
function scout(frame: Frame, xs: Float64Array, ys: Float64Array, samples: Int32Array): PatchPlane {
  const { data, codeScale } = frame
  const count = samples.length
  const level: Three = [0, 0, 0]
  const slopeX: Three = [0, 0, 0]
  const slopeY: Three = [0, 0, 0]
  const scale: Three = [0, 0, 0]
  const values = new Float64Array(3 * count)
  for (let channel = 0; channel < 3; channel++)
    for (let i = 0; i < count; i++) values[channel * count + i] = data[samples[i]! + channel]!
  const most = codeScale / 255
  const step = perChannel((c) => {
    const own = values.subarray(c * count, (c + 1) * count)
    const known = stepOf(own, frame)
    return known >= most ? known : Math.max(known, stepInUse(own.slice(), most))
  })
  const keep = new Uint8Array(count).fill(1)
  const work = new Float64Array(count)
  for (let channel = 0; channel < 3; channel++) {
    const v = values.subarray(channel * count, (channel + 1) * count)
    work.set(v)
    const median = orderStatistic(work, middle(count))
    level[channel] = median
    for (let i = 0; i < count; i++) work[i] = v[i]! - median
    const limit = gate * robustScale(work, codeScale, step[channel]!)
    for (let i = 0; i < count; i++) if (Math.abs(v[i]! - median) > limit) keep[i] = 0
  }
  let n = 0
  let sxx = 0
  let sxy = 0
  let syy = 0
  let sx = 0
  let sy = 0
  for (let i = 0; i < count; i++) {
    if (keep[i] === 0) continue
    n++
    sx += xs[i]!
    sy += ys[i]!
  }
  const mx = n > 0 ? sx / n : 0
  const my = n > 0 ? sy / n : 0
  for (let i = 0; i < count; i++) {
    if (keep[i] === 0) continue
    sxx += (xs[i]! - mx) ** 2
    sxy += (xs[i]! - mx) * (ys[i]! - my)
    syy += (ys[i]! - my) ** 2
  }
  const det = sxx * syy - sxy * sxy
  // A plane needs pixels in both directions; slivers of a few pixels keep the level only.
  const plane = n >= 16 && det > 1e-6 * sxx * syy
  for (let channel = 0; channel < 3; channel++) {
    const v = values.subarray(channel * count, (channel + 1) * count)
    if (plane) {
      let mean = 0
      let sxv = 0
      let syv = 0
      for (let i = 0; i < count; i++) if (keep[i] === 1) mean += v[i]! / n
      for (let i = 0; i < count; i++) {
        if (keep[i] === 0) continue
        sxv += (xs[i]! - mx) * (v[i]! - mean)
        syv += (ys[i]! - my) * (v[i]! - mean)
      }
      const dx = (sxv * syy - syv * sxy) / det
      const dy = (syv * sxx - sxv * sxy) / det
      slopeX[channel] = dx
      slopeY[channel] = dy
      level[channel] = mean - dx * mx - dy * my
    }
    const base = level[channel]!
    const dx = slopeX[channel]!
    const dy = slopeY[channel]!
    for (let i = 0; i < count; i++) work[i] = v[i]! - base - dx * xs[i]! - dy * ys[i]!
    scale[channel] = robustScale(work, codeScale, step[channel]!)
  }
  return { level, slopeX, slopeY, scale, step }
}

const middle = (length: number) => Math.round(0.5 * (length - 1))

/**
 * Distance between neighbouring codes of the source, of which a file of more bits holds a few only: the greatest that
 * divides all differences, up to a step of 8 bits. Of levels the frame knows it, or nobody does (0).
 */
function stepOf(values: Float64Array, { bits, codeScale, step = 0 }: Frame): number {
  if (bits === 'float') return step
  const most = codeScale / 255
  let common = 0
  for (let i = 0; i < values.length && common !== 1; i++) {
    let [a, b] = [Math.abs(values[i]! - values[0]!), common]
    while (b !== 0) [a, b] = [b, a % b]
    common = a
  }
  return common === 0 ? most : Math.min(common, most)
}

/**
 * Scatter that half of the pixels may spoil. It is a step of the source at the least: where the noise is smaller, most
 * pixels share a code, and those of the next one are no less the patch's. Where more than half share one value and the
 * step is not known, that to the next value tells it, up to one step of 8 bits.
 *
 * @param deviations rearranged, and without their signs afterwards
 */
function robustScale(deviations: Float64Array, codeScale: number, step: number): number {
  for (let i = 0; i < deviations.length; i++) deviations[i] = Math.abs(deviations[i]!)
  const mad = orderStatistic(deviations, middle(deviations.length)) * madToSd
  if (mad > 0) return Math.max(mad, step)
  let next = codeScale / 255
  for (const deviation of deviations) if (deviation > 0 && deviation < next) next = deviation
  return Math.max(next, step)
}
