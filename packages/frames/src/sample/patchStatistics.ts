import type { Vec3 } from '@isochip/core'
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
function robustScale(deviations: Float64Array, codeScale: number): number {
  for (let i = 0; i < deviations.length; i++) deviations[i] = Math.abs(deviations[i]!)
  const mad = orderStatistic(deviations, middle(deviations.length)) * madToSd
  if (mad > 0) return mad
  let step = codeScale / 255
  for (const deviation of deviations) if (deviation > 0 && deviation < step) step = deviation
  return step
}

/** Places in the lists of three that `scout` gives, one a channel. */
const scouted = { level: 0, slopeX: 3, slopeY: 6, scale: 9, length: 12 } as const

/**
 * Level at the area's middle, slopes per pixel and scatter, per channel, from a thousand pixels spread over the area.
 *
 * This and `addUp` take and give numbers and lists of numbers only. With objects that are made anew for every frame,
 * an engine's code for these loops would go whenever their kind was forgotten.
 */
function scout(
  data: Frame['data'],
  codeScale: number,
  xs: Float64Array,
  ys: Float64Array,
  samples: Int32Array,
): Float64Array {
  const count = samples.length
  const result = new Float64Array(scouted.length)
  const values = new Float64Array(3 * count)
  for (let channel = 0; channel < 3; channel++)
    for (let i = 0; i < count; i++) values[channel * count + i] = data[samples[i]! + channel]!
  const keep = new Uint8Array(count).fill(1)
  const work = new Float64Array(count)
  for (let channel = 0; channel < 3; channel++) {
    const v = values.subarray(channel * count, (channel + 1) * count)
    work.set(v)
    const median = orderStatistic(work, middle(count))
    result[scouted.level + channel] = median
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
      const slopeX = (sxv * syy - syv * sxy) / det
      const slopeY = (syv * sxx - sxv * sxy) / det
      result[scouted.slopeX + channel] = slopeX
      result[scouted.slopeY + channel] = slopeY
      result[scouted.level + channel] = mean - slopeX * mx - slopeY * my
    }
    const level = result[scouted.level + channel]!
    const slopeX = result[scouted.slopeX + channel]!
    const slopeY = result[scouted.slopeY + channel]!
    for (let i = 0; i < count; i++) work[i] = v[i]! - level - slopeX * xs[i]! - slopeY * ys[i]!
    result[scouted.scale + channel] = robustScale(work, codeScale)
  }
  return result
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

/** Upright box of an area, ends not included, its middle, and how many of its pixels are the area's. */
interface AreaBox {
  readonly x0: number
  readonly x1: number
  readonly y0: number
  readonly y1: number
  readonly midX: number
  readonly midY: number
  readonly total: number
}

function boxOf(runs: Int32Array): AreaBox {
  let total = 0
  let x0 = Number.POSITIVE_INFINITY
  let x1 = 0
  for (let r = 0; r < runs.length; r += 3) {
    total += runs[r + 2]! - runs[r + 1]!
    x0 = Math.min(x0, runs[r + 1]!)
    x1 = Math.max(x1, runs[r + 2]!)
  }
  const y0 = runs[0] ?? 0
  const y1 = (runs[runs.length - 3] ?? -1) + 1
  return { x0, x1, y0, y1, midX: (x0 + x1 - 1) / 2, midY: (y0 + y1 - 1) / 2, total }
}

/** Light of every sample of an area, pixel by pixel. */
function lightsOf(data: Frame['data'], width: number, runs: Int32Array, total: number, light: SampleLight) {
  const lights = new Float64Array(3 * total)
  const [t0, t1, t2] = light.tables ?? []
  let to = 0
  for (let r = 0; r < runs.length; r += 3) {
    const row = runs[r]! * width
    const end = 3 * (row + runs[r + 2]!)
    for (let at = 3 * (row + runs[r + 1]!); at < end; at += 3, to += 3) {
      if (t0 === undefined || t1 === undefined || t2 === undefined) {
        for (const c of [0, 1, 2] as const) lights[to + c] = light.at(data[at + c]!, c)
        continue
      }
      const [v0, v1, v2] = [data[at]!, data[at + 1]!, data[at + 2]!]
      let e0 = t0[v0]!
      let e1 = t1[v1]!
      let e2 = t2[v2]!
      if (Number.isNaN(e0)) e0 = t0[v0] = light.at(v0, 0)
      if (Number.isNaN(e1)) e1 = t1[v1] = light.at(v1, 1)
      if (Number.isNaN(e2)) e2 = t2[v2] = light.at(v2, 2)
      lights[to] = e0
      lights[to + 1] = e1
      lights[to + 2] = e2
    }
  }
  return lights
}

/** Places in the list that `addUp` gives: counts, and per channel the sums of squares, of light and of its squares. */
const sums = { used: 0, clipped: 1, squares: 2, light: 5, lightSquares: 8, length: 11 } as const

/**
 * Adds up the pixels that belong to the patch.
 *
 * @param plane from `scout`
 * @param lights from `lightsOf`; empty where distances are to be judged in samples
 * @param slopes from `lightPlane`
 * @param blockCount rows of blocks; takes up the number of pixels
 * @param blockSum per block and channel; takes up the sums of the distances from the plane
 */
function addUp(
  data: Frame['data'],
  width: number,
  runs: Int32Array,
  low: number,
  high: number,
  plane: Float64Array,
  lights: Float64Array,
  slopes: Float64Array,
  box: Float64Array,
  blockCount: Float64Array,
  blockSum: Float64Array,
): Float64Array {
  const [x0, x1, y0, y1, midX, midY] = [box[0]!, box[1]!, box[2]!, box[3]!, box[4]!, box[5]!]
  const [l0, l1, l2] = [plane[0]!, plane[1]!, plane[2]!]
  const [ax0, ax1, ax2] = [plane[3]!, plane[4]!, plane[5]!]
  const [ay0, ay1, ay2] = [plane[6]!, plane[7]!, plane[8]!]
  const [g0, g1, g2] = [gate * plane[9]!, gate * plane[10]!, gate * plane[11]!]
  const [m0, m1, m2] = [slopes[0]!, slopes[1]!, slopes[2]!]
  const [k0, k1, k2] = [slopes[3]!, slopes[4]!, slopes[5]!]
  const [h0, h1, h2] = [slopes[6]!, slopes[7]!, slopes[8]!]
  const inLight = lights.length > 0
  const columnBlock = new Uint8Array(x1 - x0)
  for (let x = 0; x < columnBlock.length; x++) columnBlock[x] = Math.floor((x * blocks) / (x1 - x0))
  let used = 0
  let clipped = 0
  let q0 = 0
  let q1 = 0
  let q2 = 0
  let s0 = 0
  let s1 = 0
  let s2 = 0
  let ss0 = 0
  let ss1 = 0
  let ss2 = 0
  let pixel = -3
  for (let r = 0; r < runs.length; r += 3) {
    const y = runs[r]!
    const from = runs[r + 1]!
    const to = runs[r + 2]!
    const base0 = l0 + ay0 * (y - midY)
    const base1 = l1 + ay1 * (y - midY)
    const base2 = l2 + ay2 * (y - midY)
    const rowBlock = blocks * Math.floor(((y - y0) * blocks) / (y1 - y0))
    for (let x = from, at = 3 * (y * width + from); x < to; x++, at += 3) {
      pixel += 3
      const v0 = data[at]!
      const v1 = data[at + 1]!
      const v2 = data[at + 2]!
      if (!(v0 > low && v1 > low && v2 > low && v0 < high && v1 < high && v2 < high)) clipped++
      const d0 = v0 - base0 - ax0 * (x - midX)
      const d1 = v1 - base1 - ax1 * (x - midX)
      const d2 = v2 - base2 - ax2 * (x - midX)
      // Written so that NaN and infinities fail.
      if (inLight) {
        const e0 = lights[pixel]!
        const e1 = lights[pixel + 1]!
        const e2 = lights[pixel + 2]!
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
      } else if (!(d0 <= g0 && d0 >= -g0 && d1 <= g1 && d1 >= -g1 && d2 <= g2 && d2 >= -g2)) continue
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
  return Float64Array.of(used, clipped, q0, q1, q2, s0, s1, s2, ss0, ss1, ss2)
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
  const { data, width, codeScale } = frame
  const box = boxOf(runs)
  const { x0, x1, y0, y1, midX, midY, total } = box
  if (total === 0) return undefined
  const { xs, ys, samples } = spread(data, width, runs, box)
  if (samples.length === 0) return undefined
  const plane = scout(data, codeScale, xs, ys, samples)
  const blockSum = new Float64Array(blocks * blocks * 3)
  const blockCount = new Float64Array(blocks * blocks)
  const added = addUp(
    data,
    width,
    runs,
    limits.low,
    limits.high,
    plane,
    light === undefined ? none : lightsOf(data, width, runs, total, light),
    light === undefined ? none : lightPlane(plane, light, codeScale),
    Float64Array.of(x0, x1, y0, y1, midX, midY),
    blockCount,
    blockSum,
  )
  const used = added[sums.used]!
  if (used === 0) return undefined

  const statistics = [0, 1, 2].map((channel) => {
    let sum = 0
    for (let b = 0; b < blockCount.length; b++) sum += blockSum[3 * b + channel]!
    const offset = sum / used
    const squares = added[sums.squares + channel]!
    const variance = used > 1 ? Math.max(0, (squares - used * offset * offset) / (used - 1)) : 0
    const sd = Math.sqrt(variance) / cutOff
    return {
      mean: plane[scouted.level + channel]! + offset,
      sd,
      error: standardError(blockSum, blockCount, channel, offset, sd, used),
    }
  })
  const lightMean = perChannel((c) => added[sums.light + c]! / used)
  return {
    mean: perChannel((c) => statistics[c]!.mean),
    ...(light === undefined
      ? {}
      : {
          light: {
            mean: lightMean,
            sd: perChannel((c) =>
              Math.sqrt(Math.max(0, added[sums.lightSquares + c]! / used - lightMean[c] ** 2)),
            ),
          },
        }),
    sd: perChannel((c) => statistics[c]!.sd),
    standardError: perChannel((c) => statistics[c]!.error),
    gradient: {
      x: perChannel((c) => plane[scouted.slopeX + c]! * (x1 - x0)),
      y: perChannel((c) => plane[scouted.slopeY + c]! * (y1 - y0)),
    },
    pixels: used,
    rejected: 1 - used / total,
    clipped: added[sums.clipped]! / total,
  }
}

const none = new Float64Array(0)

/** Light at the plane's level, its change per sample value there, and how far a pixel's may be from it; per channel. */
function lightPlane(plane: Float64Array, light: SampleLight, codeScale: number): Float64Array {
  const out = new Float64Array(9)
  for (const c of [0, 1, 2] as const) {
    const level = plane[scouted.level + c]!
    // A quartile either way: quartiles stay quartiles through any curve.
    // Where nothing but rounding scatters, the slope would be lost in it too.
    const sd = Math.max(plane[scouted.scale + c]!, leastScale * codeScale)
    const reach = sd / madToSd
    const slope = (light.at(level + reach, c) - light.at(level - reach, c)) / (2 * reach)
    out[c] = light.at(level, c)
    out[3 + c] = slope
    out[6 + c] = gate * slope * sd
  }
  return out
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
