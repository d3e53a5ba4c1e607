import { type Chart, placeText, type Warning } from '@isochip/core'
import type { chartReading, Shape } from '@isochip/core/shapes'
import type { ChartReadings, FrameReadings } from '@isochip/show/node'

type Reading = Omit<ChartReadings, 'warnings'>

const meaning =
  'explained × margin × even × clear: the share of the colours that the chart’s values explain, how much better than at any other place or turn, the share of patches that are even, and of those that nothing lies over; 1 is sure, and where the first three are below 0.5 a chart is not taken'

/** What is known of one chart, for people: where it is, how sure that is, and how it was shot. */
export function readingText(
  { id }: Chart,
  { corners, confidence, checks, readings, transfer: encoding }: Reading,
): string {
  const at = corners.map(([x, y]) => `${x.toFixed(0)},${y.toFixed(0)}`).join(' ')
  const sure =
    confidence === undefined
      ? 'corners as given'
      : `found, confidence ${confidence.value.toFixed(2)} (1 is sure)`
  const foreign = readings.patches.filter((patch) => patch.foreign === true).length
  const lines = [
    `${id} at ${at}: ${sure}`,
    ...(foreign === 0 ? [] : [`left out of a match: ${foreign} of ${readings.patches.length} patches`]),
    ...checks.map(({ name, message, passed }) => `${passed ? 'good' : 'poor'}  ${name}: ${message}`),
    ...(encoding === undefined
      ? ['Evenness, glare and flare as if it were BT.709: no --encoding was given.']
      : []),
  ]
  return `${lines.join('\n')}\n`
}

/** The same for programs. */
export function readingDocument({
  readings,
  corners,
  confidence,
  checks,
  transfer: encoding,
}: Reading): Shape<typeof chartReading> {
  return {
    corners,
    ...(confidence === undefined ? {} : { confidence: { ...confidence, meaning } }),
    ...readings,
    checks: checks.map(({ patches, ...check }) => (patches.length === 0 ? check : { ...check, patches })),
    checkedAs: encoding ?? 'bt709, assumed',
  }
}

/**
 * The cautions of several charts of a frame, the frames' own first, each after which chart it is about; of one chart as they are.
 */
export function cautionsByChart(
  { id }: Chart,
  { others, ofFrames, ...first }: FrameReadings,
): readonly Warning[] {
  if (others.length === 0) return first.warnings
  const charts = [{ ...first, warnings: first.warnings.slice(ofFrames) }, ...others]
  const named = charts.flatMap(({ corners, warnings }, k) => {
    const at = corners[0]!.map((one) => one.toFixed(0)).join(', ')
    const which = `${id}, ${k + 1} of ${charts.length}, with its first patch at ${at}`
    return warnings.map(({ code, message, place = {} }): Warning => {
      const where = [which, placeText(place)].filter((part) => part !== '').join(', ')
      return { code, message: `${where}: ${message}` }
    })
  })
  return [...first.warnings.slice(0, ofFrames), ...named]
}
