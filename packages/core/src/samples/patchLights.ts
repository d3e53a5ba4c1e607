import type { Chart } from '../chart/chart.ts'
import { decodeRgb, type Encoding, resolveTransfer } from '../encoding/encoding.ts'
import { nominalFromFraction } from '../encoding/range.ts'
import { IsochipError } from '../errors.ts'
import type { Vec3 } from '../linear/mat3.ts'
import { clippedShareCheck } from '../match/options.ts'
import type { PatchReading, Readings } from '../readings.ts'
import { defaultClippedShare } from './clippedShare.ts'

/** A reading as linear light in the camera's primaries. */
export interface PatchLight {
  readonly patch: string
  readonly light: Vec3
  /** Standard error of `light`; zero where the reading has no standard deviation. */
  readonly standardError: Vec3
  /** Share of the patch's pixels that clip, as read; 0 where the reading does not say. */
  readonly clipped: number
  /** Why the patch cannot serve. */
  readonly unusable?: string
}

const trap = { unusable: 'a light trap is no colour to match' }

/**
 * Readings → linear light, in the chart's order, with what cannot serve named: patches that clip, and patches that
 * sit in the noise (no channel's light above twice its standard error).
 *
 * @throws IsochipError `readings-invalid` for a value that a reading cannot have, `patch-unknown`, `patch-doubled`, `usage`
 */
export function patchLights(
  chart: Chart,
  readings: Readings,
  encoding: Encoding,
  clippedShare = defaultClippedShare,
): PatchLight[] {
  clippedShareCheck(clippedShare, 'clippedShare')
  const byName = new Map<string, PatchReading>()
  const known = new Set(chart.patches.map((patch) => patch.name))
  for (const reading of readings.patches) {
    const place = { patch: reading.patch }
    if (!known.has(reading.patch)) {
      throw new IsochipError('patch-unknown', `the chart ${chart.id} has no patch "${reading.patch}"`, {
        place,
      })
    }
    if (byName.has(reading.patch)) {
      throw new IsochipError('patch-doubled', `patch "${reading.patch}" appears twice in the readings`, {
        place,
      })
    }
    const fault = faultOf(reading)
    if (fault !== undefined) {
      throw new IsochipError('readings-invalid', `the reading of patch "${reading.patch}" has ${fault}`, {
        place,
      })
    }
    byName.set(reading.patch, reading)
  }
  return chart.patches.flatMap((patch) => {
    const reading = byName.get(patch.name)
    return reading === undefined
      ? []
      : [{ ...patchLight(reading, encoding, clippedShare), ...(patch.role === 'true-black' ? trap : {}) }]
  })
}

/** What of a reading is no reading: callers in plain JavaScript have no compiler to tell them. */
function faultOf({ rgb, sd, pixels, clipped, foreign }: PatchReading): string | undefined {
  const three = (value: unknown, least: number) =>
    Array.isArray(value) && value.length === 3 && value.every((v) => Number.isFinite(v) && v >= least)
  if (!three(rgb, Number.NEGATIVE_INFINITY)) return `rgb ${String(rgb)}, expected three finite numbers`
  if (sd !== undefined && !three(sd, 0)) return `sd ${String(sd)}, expected three finite numbers of 0 or more`
  if (pixels !== undefined && !(Number.isFinite(pixels) && pixels > 0))
    return `pixels ${String(pixels)}, expected a number above 0`
  if (clipped !== undefined && !(Number.isFinite(clipped) && clipped >= 0 && clipped <= 1))
    return `clipped ${String(clipped)}, expected a share from 0 to 1`
  if (foreign !== undefined && typeof foreign !== 'boolean')
    return `foreign ${String(foreign)}, expected true or false`
  return undefined
}

function patchLight(reading: PatchReading, encoding: Encoding, clippedShare: number): PatchLight {
  const light = decodeRgb(encoding, reading.rgb)
  const { sd, pixels = 1, clipped = 0 } = reading
  const { decode } = resolveTransfer(encoding.spec.transfer)
  const channelError = (channel: 0 | 1 | 2): number => {
    if (sd === undefined) return 0
    const step = 1e-4
    const code = reading.rgb[channel]
    const slope = (decode(code + step, channel) - decode(code - step, channel)) / (2 * step)
    return (Math.abs(slope) * sd[channel]) / Math.sqrt(Math.max(pixels, 1))
  }
  const standardError: Vec3 = [channelError(0), channelError(1), channelError(2)]
  const base = { patch: reading.patch, light, standardError, clipped }
  if (!light.every(Number.isFinite)) return { ...base, unusable: 'no finite light' }
  if (reading.foreign === true) return { ...base, unusable: 'something else shows there than the chart' }
  if (clipped > clippedShare)
    return { ...base, unusable: `clipped (${(100 * clipped).toFixed(1)} % of its pixels)` }
  // Scene-linear numbers have no top; a coded picture ends at the top of its range unless it says what its pixels do.
  const top = nominalFromFraction(1, encoding.range, 10)
  if (
    encoding.spec.transfer !== 'linear' &&
    reading.clipped === undefined &&
    Math.max(...reading.rgb) >= top
  ) {
    return { ...base, unusable: 'clipped (at the top of the range)' }
  }
  const inNoise = (channel: 0 | 1 | 2) =>
    standardError[channel] > 0 ? light[channel] < 2 * standardError[channel] : light[channel] <= 0
  if (inNoise(0) && inNoise(1) && inNoise(2)) return { ...base, unusable: 'in the noise' }
  return base
}
