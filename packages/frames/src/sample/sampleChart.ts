import {
  type Channel,
  type Chart,
  hypot,
  IsochipError,
  type PatchReading,
  type Range,
  type Readings,
  resolveTransfer,
  type Transfer,
  type TransferSpec,
  type Vec3,
  type Warning,
} from '@isochip/core'
import type { Frame } from '../frame/frame.ts'
import { nominalOf } from '../frame/nominalOf.ts'
import { homographyFromUnitSquare, type Point } from '../geometry/homography.ts'
import { boxOf } from './area/areaBox.ts'
import { type Corners, checkCorners } from './area/corners.ts'
import { type ChartMap, chartMap, type PatchArea, patchAreas } from './area/patchAreas.ts'
import { clipLimits } from './clipLimits.ts'
import { type ClippedChannels, clippedChannels } from './clippedChannels.ts'
import { figureRows } from './figureRows.ts'
import { flatPatches } from './flatPatches.ts'
import { lightTables } from './lightTables.ts'
import { type PatchStatistics, patchStatistics } from './patchStatistics.ts'
import { perChannel } from './perChannel.ts'

export interface SampleRequest {
  /** Frames of one setup, all of one size, bit depth and framing. They are averaged. */
  readonly frames: readonly Frame[]
  readonly chart: Chart
  readonly corners: Corners
  readonly range: Range
  /** Width of the sampled part of a patch over the patch's width, 0.1…0.95. Default 0.55. */
  readonly share?: number
  /** Finer map of the chart than the corners give (lens distortion), from `refineChart`. */
  readonly map?: ChartMap
  /**
   * The camera's curve, where it is known: levels are then the code values of the pixels' mean light. The mean of the
   * code values themselves lies below it where there is noise, since curves flatten upwards.
   */
  readonly transfer?: TransferSpec
}

/** A sampled area and its statistics as nominal fractions. */
export interface SampledArea extends PatchArea {
  /** Mean code values, or the code values of the mean light where the request has the curve. */
  readonly rgb: Vec3
  readonly sd: Vec3
  /** Standard error of `rgb`. */
  readonly standardError: Vec3
  /** Change across the sampled area along the frame's x and y. */
  readonly gradient: { readonly x: Vec3; readonly y: Vec3 }
  /** Pixels used, over all frames. */
  readonly pixels: number
  readonly rejected: number
  readonly clipped: number
  /** Which channels clip, where any does. */
  readonly clippedIn?: ClippedChannels
}

export interface ChartSample {
  readonly readings: Readings
  readonly areas: readonly SampledArea[]
  readonly warnings: readonly Warning[]
}

const defaultShare = 0.55
/** Fewer pixels than this in a patch cannot tell dust from noise. */
const fewestPixels = 9

/** Size of a patch of whose middle a share was sampled, pixels. */
function sizeText([a, b, , d]: PatchArea['quad'], share: number): string {
  const side = (p: Point, q: Point) => (hypot(q[0] - p[0], q[1] - p[1]) / share).toFixed(1)
  return `${side(a, b)} × ${side(a, d)}`
}

/** Frames of one setup weigh alike: mean of the means; pooled scatter; errors of independent frames. */
function combine(parts: readonly PatchStatistics[]): PatchStatistics {
  const n = parts.length
  const mean = (of: (part: PatchStatistics) => number) => parts.reduce((sum, part) => sum + of(part), 0) / n
  return {
    mean: perChannel((c) => mean((part) => part.mean[c])),
    ...(parts.every(({ light }) => light !== undefined)
      ? {
          light: {
            mean: perChannel((c) => mean((part) => part.light!.mean[c])),
            sd: perChannel((c) => Math.sqrt(mean((part) => part.light!.sd[c] ** 2))),
          },
        }
      : {}),
    sd: perChannel((c) => Math.sqrt(mean((part) => part.sd[c] ** 2))),
    standardError: perChannel((c) => Math.sqrt(mean((part) => part.standardError[c] ** 2) / n)),
    gradient: {
      x: perChannel((c) => mean((part) => part.gradient.x[c])),
      y: perChannel((c) => mean((part) => part.gradient.y[c])),
    },
    step: perChannel((c) => Math.max(...parts.map(({ step }) => step[c]))),
    pixels: parts.reduce((sum, part) => sum + part.pixels, 0),
    rejected: mean((part) => part.rejected),
    clipped: mean((part) => part.clipped),
  }
}

function checkFrames(frames: readonly Frame[]): Frame {
  const [first] = frames
  if (first === undefined) throw new RangeError('no frame to sample')
  for (const frame of frames) {
    if (frame.width === first.width && frame.height === first.height && frame.bits === first.bits) continue
    const name = (one: Frame, other: string) => one.file ?? other
    throw new IsochipError(
      'frame-size',
      `${name(frame, 'a frame')} has ${frame.width} × ${frame.height} pixels of ${frame.bits} bits, ` +
        `${name(first, 'the first one')} ${first.width} × ${first.height} of ${first.bits}`,
      {
        hint: 'frames of one setup are averaged: they must come from one camera, unscaled and uncropped',
        place: frame.file === undefined ? {} : { file: frame.file },
      },
    )
  }
  return first
}

/**
 * Read a chart's patches from the frames of one setup.
 *
 * @throws IsochipError `frame-size` when frames differ; `corners-invalid` when the corners cannot be a chart's or
 *   leave less than 9 pixels to a patch; `frame-unreadable` when a patch has no finite pixel
 */
export function sampleChart(request: SampleRequest): ChartSample {
  const { frames, chart, range } = request
  const first = checkFrames(frames)
  const share = request.share ?? defaultShare
  if (!(share >= 0.1 && share <= 0.95)) throw new RangeError(`share ${share} is not within 0.1…0.95`)
  const quad = checkCorners(request.corners, first)
  const plain = homographyFromUnitSquare(quad)
  // checkCorners lets no such quad through; the type cannot know.
  if (plain === undefined) throw new Error(`corners without a map: ${JSON.stringify(quad)}`)
  const areas = patchAreas(chart, request.map ?? chartMap(plain), share)
  const limits = clipLimits(first, range)
  const nominal = nominalOf(first, range)
  const unit = nominal(1) - nominal(0)
  const transfer = request.transfer && resolveTransfer(request.transfer)
  const light = transfer === undefined ? undefined : lightTables(first, range, transfer)

  const warnings: Warning[] = []
  const steps: Vec3[] = []
  const sampled = areas.map((area): SampledArea => {
    const runs = figureRows(area.outline ?? area.quad, first.width, first.height)
    const { total: count } = boxOf(runs)
    if (count < fewestPixels)
      throw new IsochipError(
        'corners-invalid',
        `the patch is ${sizeText(area.quad, share)} pixels, its sampled part ${count} of them, at least ${fewestPixels} are needed`,
        {
          hint: 'the chart is too small in the frame, or the corners are not the chart’s: shoot it larger',
          place: { ...(first.file === undefined ? {} : { file: first.file }), patch: area.patch },
        },
      )
    const parts = frames.map((frame) => {
      const statistics = patchStatistics(frame, runs, limits, light)
      if (statistics !== undefined) return statistics
      throw new IsochipError('frame-unreadable', 'the patch holds no finite sample', {
        hint: 'the frame has NaN or infinite samples where the chart is: render it again',
        place: { ...(frame.file === undefined ? {} : { file: frame.file }), patch: area.patch },
      })
    })
    const all = combine(parts)
    warnings.push(...frameChanges(area.patch, parts, all, unit))
    steps.push(perChannel((c) => all.step[c] * unit))
    return {
      ...area,
      rgb: perChannel((c) =>
        transfer === undefined ? nominal(all.mean[c]) : transfer.encode(all.light!.mean[c], c),
      ),
      sd: perChannel((c) => all.sd[c] * unit),
      standardError: perChannel((c) => all.standardError[c] * unit * noiseGrowth(all, unit, transfer, c)),
      gradient: {
        x: perChannel((c) => all.gradient.x[c] * unit),
        y: perChannel((c) => all.gradient.y[c] * unit),
      },
      pixels: all.pixels,
      rejected: all.rejected,
      clipped: all.clipped,
      ...(all.clipped > 0 ? { clippedIn: clippedChannels(frames, runs, limits) } : {}),
    }
  })
  return {
    readings: {
      patches: sampled.map(
        ({ patch, rgb, sd, pixels, clipped }): PatchReading => ({ patch, rgb, sd, pixels, clipped }),
      ),
    },
    areas: sampled,
    warnings: [
      ...joinWarnings(warnings, sampled, chart.patches.length),
      ...flatPatches(sampled.map((area, index) => ({ ...area, step: steps[index]! }))),
    ],
  }
}

/**
 * How much more the noise moves the code value of the mean light than the mean of the code values: more where the curve
 * bends within the noise, as in the dark.
 */
function noiseGrowth(
  { light, sd }: PatchStatistics,
  unit: number,
  transfer: Transfer | undefined,
  c: Channel,
): number {
  if (transfer === undefined || light === undefined || !(sd[c] > 0) || !(light.sd[c] > 0)) return 1
  // The curve's slope over a scatter that is small beside that of a pixel, and not lost in rounding.
  const step = 0.1 * light.sd[c]
  const slope =
    (transfer.encode(light.mean[c] + step, c) - transfer.encode(light.mean[c] - step, c)) / (2 * step)
  return Math.max(1, (slope * light.sd[c]) / (sd[c] * unit))
}

/** Two frames of a locked-off shot agree within their errors; a level that moved by over 1 % did so on set. */
function frameChanges(
  patch: string,
  parts: readonly PatchStatistics[],
  all: PatchStatistics,
  unit: number,
): Warning[] {
  const change = Math.max(
    ...[0, 1, 2].map((c) => {
      const means = parts.map((part) => part.mean[c]!)
      return (
        Math.max(...means) -
        Math.min(...means) -
        4 * Math.SQRT2 * all.standardError[c]! * Math.sqrt(parts.length)
      )
    }),
  )
  if (!(change * unit > 0.01)) return []
  return [
    {
      code: 'frames-differ',
      message: `the patch differs by ${(100 * change * unit).toFixed(1)} % between the frames`,
      place: { patch },
    },
  ]
}

/** One warning for the whole chart where most patches have it. */
function joinWarnings(changes: readonly Warning[], areas: readonly SampledArea[], count: number): Warning[] {
  const warnings: Warning[] = []
  if (changes.length > 3)
    warnings.push({
      code: 'frames-differ',
      message: `${changes.length} of ${count} patches change between the frames; the light, the exposure or the framing moved`,
    })
  else warnings.push(...changes)
  for (const area of areas) {
    if (area.rejected <= 0.15) continue
    warnings.push({
      code: 'patch-soiled',
      message: `${Math.round(100 * area.rejected)} % of the sampled pixels do not belong to the patch (dust, print, glare, or wrong corners)`,
      place: { patch: area.patch },
    })
  }
  return warnings
}
