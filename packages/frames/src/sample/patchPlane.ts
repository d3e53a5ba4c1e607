import type { Vec3 } from '@isochip/core'
import type { Frame } from '../frame/frame.ts'
import type { AreaBox } from './areaBox.ts'
import { orderStatistic } from './orderStatistic.ts'

/** The plane that a patch's levels lie on, per channel. */
export interface PatchPlane {
  /** At the middle of the area's box. */
  readonly level: Vec3
  /** Per pixel. */
  readonly slopeX: Vec3
  readonly slopeY: Vec3
  /** Scatter about the plane, as a standard deviation. */
  readonly scale: Vec3
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
export function patchPlane(
  { data, width, codeScale }: Frame,
  runs: Int32Array,
  box: AreaBox,
): PatchPlane | undefined {
  const { xs, ys, samples } = spread(data, width, runs, box)
  if (samples.length === 0) return undefined
  return scout(data, codeScale, xs, ys, samples)
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
function scout(
  data: Frame['data'],
  codeScale: number,
  xs: Float64Array,
  ys: Float64Array,
  samples: Int32Array,
): PatchPlane {
  const count = samples.length
  const level: Three = [0, 0, 0]
  const slopeX: Three = [0, 0, 0]
  const slopeY: Three = [0, 0, 0]
  const scale: Three = [0, 0, 0]
  const values = new Float64Array(3 * count)
  for (let channel = 0; channel < 3; channel++)
    for (let i = 0; i < count; i++) values[channel * count + i] = data[samples[i]! + channel]!
  const keep = new Uint8Array(count).fill(1)
  const work = new Float64Array(count)
  for (let channel = 0; channel < 3; channel++) {
    const v = values.subarray(channel * count, (channel + 1) * count)
    work.set(v)
    const median = orderStatistic(work, middle(count))
    level[channel] = median
    for (let i = 0; i < count; i++) work[i] = v[i]! - median
    const limit = gate * robustScale(work, codeScale)
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
    scale[channel] = robustScale(work, codeScale)
  }
  return { level, slopeX, slopeY, scale }
}

const middle = (length: number) => Math.round(0.5 * (length - 1))

/**
 * Scatter that half of the pixels may spoil. Where more than half share one value, the file is coarser than the
 * noise: the step to the next value tells, up to one step of 8 bits.
 *
 * @param deviations rearranged, and without their signs afterwards
 */
function robustScale(deviations: Float64Array, codeScale: number): number {
  for (let i = 0; i < deviations.length; i++) deviations[i] = Math.abs(deviations[i]!)
  const mad = orderStatistic(deviations, middle(deviations.length)) * madToSd
  if (mad > 0) return mad
  let step = codeScale / 255
  for (const deviation of deviations) if (deviation > 0 && deviation < step) step = deviation
  return step
}
