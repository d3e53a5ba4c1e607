import type { Chart, Warning } from '@isochip/core'
import type { ChartSample } from '../sample/sampleChart.ts'
import { foreignPatches } from './foreignPatches.ts'

/** With more patches than this share that do not fit, the fit of the others is not to be trusted either. */
const most = 0.4

/**
 * A chart's sample with the patches marked that something lies over: they take no part in a match. Each is named by a
 * caution; where most of the chart does not fit, none is marked, and one caution says so.
 */
export function markForeign(sample: ChartSample, chart: Chart): ChartSample {
  const foreign = new Set(
    foreignPatches(sample.areas, chart).flatMap((judged) => (judged.foreign ? [judged.patch] : [])),
  )
  if (foreign.size === 0) return sample
  if (foreign.size > most * chart.patches.length) {
    const warning: Warning = {
      code: 'patch-foreign',
      message: `${foreign.size} of the ${chart.patches.length} patches do not fit the chart’s values: look whether something lies over the chart, whether it is this chart, and where it was looked for`,
    }
    return { ...sample, warnings: [...sample.warnings, warning] }
  }
  return {
    ...sample,
    readings: {
      patches: sample.readings.patches.map((reading) =>
        foreign.has(reading.patch) ? { ...reading, foreign: true } : reading,
      ),
    },
    warnings: [
      ...sample.warnings,
      ...[...foreign].map(
        (patch): Warning => ({
          code: 'patch-foreign',
          message:
            'something else shows there than the chart (a hand, a leaf, a label?), so it is left out of a match: take it away and shoot the chart again',
          place: { patch },
        }),
      ),
    ],
  }
}
