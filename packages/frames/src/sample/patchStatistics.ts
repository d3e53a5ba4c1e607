import type { Channel, Vec3 } from '@isochip/core'
import type { Frame } from '../frame/frame.ts'
import type { SampleLight } from './lightTables.ts'
import { orderStatistic } from './orderStatistic.ts'
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
  /** Pixels that the mean is of. */
  readonly pixels: number
  /** Share of the pixels left out as foreign to the patch: dust, scratches, print, glints. 0…1. */
  readonly rejected: number
  /** Share of all pixels with a channel at or beyond the limits of the code range, 0…1. */
  readonly clipped: number
}

/** Sample values at and beyond which a pixel counts as clipped. */
export interface ClipLimits {
  readonly low: number
  readonly high: number
}

/** Pixels looked at to find the level and scatter, before all are used. */
const scoutPixels = 1024
/** Pixels further from the patch's plane than this many standard deviations are foreign to it. */
const gate = 3
// Standard deviation of a normal distribution cut off at ±3σ: sqrt(1 − 2·3·φ(3)/(2Φ(3) − 1)) of the full one.
const cutOff = 0.98658
/** 1/Φ⁻¹(¾): median absolute deviation → standard deviation, for a normal distribution. */
const madToSd = 1.4826
/** Smallest scatter that a curve is looked at with, over the code range. */
const leastScale = 1e-6
/** Blocks along each side of the area, for the standard error. */
const blocks = 6

const middle = (length: number) => Math.round(0.5 * (length - 1))

/**
 * Scatter that half of the pixels may spoil. Where more than half share one value, the file is coarser than the
 * noise: the step to the next value tells, up to one step of 8 bits.
 *
 * @param deviations rearranged, and without their signs afterwards
 */
function robustScale(deviations: Float64Array, frame: Frame): number {
  for (let i = 0; i < deviations.length; i++) deviations[i] = Math.abs(deviations[i]!)
  const mad = orderStatistic(deviations, middle(deviations.length)) * madToSd
  if (mad > 0) return mad
  let step = frame.codeScale / 255
  for (const deviation of deviations) if (deviation > 0 && deviation < step) step = deviation
  return step
}

interface Scout {
  /** Per channel: level at the area's middle, slopes per pixel, scatter. */
  readonly level: [number, number, number]
  readonly slopeX: [number, number, number]
  readonly slopeY: [number, number, number]
  readonly scale: [number, number, number]
}

/** Level, plane and scatter per channel from a thousand pixels spread over the area. */
function scout(frame: Frame, xs: Float64Array, ys: Float64Array, samples: Int32Array): Scout {
  const count = samples.length
  const result: Scout = { level: [0, 0, 0], slopeX: [0, 0, 0], slopeY: [0, 0, 0], scale: [0, 0, 0] }
  const { data } = frame
  const values = [0, 1, 2].map((channel) => {
    const v = new Float64Array(count)
    for (let i = 0; i < count; i++) v[i] = data[samples[i]! + channel]!
    return v
  })
  const keep = new Uint8Array(count).fill(1)
  const work = new Float64Array(count)
  for (let channel = 0; channel < 3; channel++) {
    const v = values[channel]!
    work.set(v)
    const median = orderStatistic(work, middle(count))
    result.level[channel] = median
    for (let i = 0; i < count; i++) work[i] = v[i]! - median
    const limit = gate * robustScale(work, frame)
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
    const v = values[channel]!
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
      const slopeX = (sxv * syy - syv * sxy) / det
      const slopeY = (syv * sxx - sxv * sxy) / det
      result.slopeX[channel] = slopeX
      result.slopeY[channel] = slopeY
      result.level[channel] = mean - slopeX * mx - slopeY * my
    }
    const level = result.level[channel]!
    const slopeX = result.slopeX[channel]!
    const slopeY = result.slopeY[channel]!
    for (let i = 0; i < count; i++) work[i] = v[i]! - level - slopeX * xs[i]! - slopeY * ys[i]!
    result.scale[channel] = robustScale(work, frame)
  }
  return result
}

/**
 * Robust statistics of the pixels in a quad, per channel. A plane is fitted first; a pixel whose distance from it
 * is over three standard deviations in any channel is foreign to the patch and left out, so dust, a scratch or a
 * printed letter over up to a third of the area moves the mean by far less than its noise.
 *
 * @param runs pixel runs of the area, from `quadRows`
 * @param light for the mean of light; the three standard deviations are of light then, in which noise is even
 * @returns `undefined` when no pixel of the area has three finite samples
 */
export function patchStatistics(
  frame: Frame,
  runs: Int32Array,
  limits: ClipLimits,
  light?: SampleLight,
): PatchStatistics | undefined {
  const { width, data } = frame
  let total = 0
  let x0 = Number.POSITIVE_INFINITY
  let x1 = 0
  for (let r = 0; r < runs.length; r += 3) {
    total += runs[r + 2]! - runs[r + 1]!
    x0 = Math.min(x0, runs[r + 1]!)
    x1 = Math.max(x1, runs[r + 2]!)
  }
  if (total === 0) return undefined
  const y0 = runs[0]!
  const y1 = runs[runs.length - 3]! + 1
  const midX = (x0 + x1 - 1) / 2
  const midY = (y0 + y1 - 1) / 2

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
  if (count === 0) return undefined
  const plane = scout(frame, xs.subarray(0, count), ys.subarray(0, count), samples.subarray(0, count))
  const [l0, l1, l2] = plane.level
  const [ax0, ax1, ax2] = plane.slopeX
  const [ay0, ay1, ay2] = plane.slopeY
  const [g0, g1, g2] = plane.scale.map((scale) => gate * scale) as [number, number, number]

  const columnBlock = new Uint8Array(x1 - x0)
  for (let x = 0; x < columnBlock.length; x++) columnBlock[x] = Math.floor((x * blocks) / (x1 - x0))
  const blockSum = new Float64Array(blocks * blocks * 3)
  const blockCount = new Float64Array(blocks * blocks)
  let used = 0
  let clipped = 0
  let q0 = 0
  let q1 = 0
  let q2 = 0
  const inLight = light === undefined ? undefined : lightPlane(plane, light, frame.codeScale)
  const [m0, m1, m2] = inLight?.level ?? [0, 0, 0]
  const [k0, k1, k2] = inLight?.slope ?? [0, 0, 0]
  const [h0, h1, h2] = inLight?.gate ?? [0, 0, 0]
  // Held by names of their own: this is the inner loop of every frame that is read.
  const [t0, t1, t2] = light?.tables ?? []
  let s0 = 0
  let s1 = 0
  let s2 = 0
  let ss0 = 0
  let ss1 = 0
  let ss2 = 0
  for (let r = 0; r < runs.length; r += 3) {
    const y = runs[r]!
    const from = runs[r + 1]!
    const to = runs[r + 2]!
    const base0 = l0 + ay0 * (y - midY)
    const base1 = l1 + ay1 * (y - midY)
    const base2 = l2 + ay2 * (y - midY)
    const rowBlock = blocks * Math.floor(((y - y0) * blocks) / (y1 - y0))
    for (let x = from, at = 3 * (y * width + from); x < to; x++, at += 3) {
      const v0 = data[at]!
      const v1 = data[at + 1]!
      const v2 = data[at + 2]!
      const within =
        v0 > limits.low &&
        v1 > limits.low &&
        v2 > limits.low &&
        v0 < limits.high &&
        v1 < limits.high &&
        v2 < limits.high
      if (!within) clipped++
      const d0 = v0 - base0 - ax0 * (x - midX)
      const d1 = v1 - base1 - ax1 * (x - midX)
      const d2 = v2 - base2 - ax2 * (x - midX)
      // Written so that NaN and infinities fail.
      if (light === undefined) {
        if (!(d0 <= g0 && d0 >= -g0 && d1 <= g1 && d1 >= -g1 && d2 <= g2 && d2 >= -g2)) continue
      } else {
        let e0: number
        let e1: number
        let e2: number
        if (t0 === undefined || t1 === undefined || t2 === undefined) {
          e0 = light.at(v0, 0)
          e1 = light.at(v1, 1)
          e2 = light.at(v2, 2)
        } else {
          e0 = t0[v0]!
          e1 = t1[v1]!
          e2 = t2[v2]!
          if (Number.isNaN(e0)) e0 = t0[v0] = light.at(v0, 0)
          if (Number.isNaN(e1)) e1 = t1[v1] = light.at(v1, 1)
          if (Number.isNaN(e2)) e2 = t2[v2] = light.at(v2, 2)
        }
        const within =
          Math.abs(e0 - m0 - k0 * (v0 - d0 - l0)) <= h0 &&
          Math.abs(e1 - m1 - k1 * (v1 - d1 - l1)) <= h1 &&
          Math.abs(e2 - m2 - k2 * (v2 - d2 - l2)) <= h2
        if (!within) continue
        s0 += e0
        s1 += e1
        s2 += e2
        ss0 += e0 * e0
        ss1 += e1 * e1
        ss2 += e2 * e2
      }
      used++
      q0 += d0 * d0
      q1 += d1 * d1
      q2 += d2 * d2
      const block = rowBlock + columnBlock[x - x0]!
      blockCount[block]!++
      blockSum[3 * block]! += d0
      blockSum[3 * block + 1]! += d1
      blockSum[3 * block + 2]! += d2
    }
  }
  if (used === 0) return undefined

  const squares = [q0, q1, q2]
  const lightSums = [s0, s1, s2] as const
  const lightSquares = [ss0, ss1, ss2] as const
  const statistics = [0, 1, 2].map((channel) => {
    let sum = 0
    for (let b = 0; b < blockCount.length; b++) sum += blockSum[3 * b + channel]!
    const offset = sum / used
    const variance = used > 1 ? Math.max(0, (squares[channel]! - used * offset * offset) / (used - 1)) : 0
    const sd = Math.sqrt(variance) / cutOff
    return {
      mean: plane.level[channel]! + offset,
      sd,
      error: standardError(blockSum, blockCount, channel, offset, sd, used),
    }
  })
  return {
    mean: perChannel((c) => statistics[c]!.mean),
    ...(light === undefined
      ? {}
      : {
          light: {
            mean: perChannel((c) => lightSums[c] / used),
            sd: perChannel((c) =>
              Math.sqrt(Math.max(0, lightSquares[c] / used - (lightSums[c] / used) ** 2)),
            ),
          },
        }),
    sd: perChannel((c) => statistics[c]!.sd),
    standardError: perChannel((c) => statistics[c]!.error),
    gradient: {
      x: perChannel((c) => plane.slopeX[c]! * (x1 - x0)),
      y: perChannel((c) => plane.slopeY[c]! * (y1 - y0)),
    },
    pixels: used,
    rejected: 1 - used / total,
    clipped: clipped / total,
  }
}

/** Light at the plane's level, its change per sample value there, and how far a pixel's may be from it. */
function lightPlane({ level, scale }: Scout, light: SampleLight, codeScale: number) {
  const of = (channel: Channel) => {
    // A quartile either way: quartiles stay quartiles through any curve.
    // Where nothing but rounding scatters, the slope would be lost in it too.
    const sd = Math.max(scale[channel], leastScale * codeScale)
    const reach = sd / madToSd
    const slope =
      (light.at(level[channel] + reach, channel) - light.at(level[channel] - reach, channel)) / (2 * reach)
    return { level: light.at(level[channel], channel), slope, gate: gate * slope * sd }
  }
  const [r, g, b] = [of(0), of(1), of(2)]
  return {
    level: [r.level, g.level, b.level],
    slope: [r.slope, g.slope, b.slope],
    gate: [r.gate, g.gate, b.gate],
  } as const
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
