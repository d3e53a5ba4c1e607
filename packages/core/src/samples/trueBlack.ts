import type { Chart } from '../chart/chart.ts'
import type { Vec3 } from '../linear/mat3.ts'
import type { PatchReading, Readings } from '../readings.ts'
import { defaultClippedShare } from './clippedShare.ts'

/**
 * Code values of the chart's true black, the darkest of several: flare and pedestal, and nothing else. Undefined where there is none,
 * and where it stands at or under black, since recorders end there.
 */
export function trueBlack(chart: Chart, readings: Readings): Vec3 | undefined {
  return trueBlackReading(chart, readings)?.rgb
}

/** The same as it was read. */
export function trueBlackReading(chart: Chart, readings: Readings): PatchReading | undefined {
  const traps = new Set(chart.patches.flatMap(({ name, role }) => (role === 'true-black' ? [name] : [])))
  const seen = readings.patches.filter(
    ({ patch, rgb, clipped = 0, foreign = false }) =>
      traps.has(patch) && !foreign && clipped <= defaultClippedShare && rgb.every((code) => code > 0),
  )
  return seen.length === 0 ? undefined : seen.reduce((a, b) => (b.rgb[1] < a.rgb[1] ? b : a))
}
