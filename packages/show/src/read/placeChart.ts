import { type Chart, IsochipError, isIsochipError, type Warning } from '@isochip/core'
import {
  type ChartMap,
  type Confidence,
  type Corners,
  type FindOptions,
  type Frame,
  findChart,
} from '@isochip/frames'

/** Where the chart is, and the finer map of one that was found; corners given by hand come without. */
export interface PlacedChart {
  readonly corners: Corners
  readonly map?: ChartMap
  /** Of one that was found. */
  readonly confidence?: Confidence
  /** Other ones of the same chart in the frame, by falling size. */
  readonly others: readonly PlacedChart[]
}

/** @throws IsochipError `chart-not-found` where it is looked for */
export function placeChart(
  frame: Frame,
  chart: Chart,
  corners: Corners | undefined,
  options: FindOptions = {},
): PlacedChart {
  if (corners !== undefined) return { corners, others: [] }
  try {
    const { others, ...first } = findChart(frame, [chart], options)
    return { ...first, others: others.map((one) => ({ ...one, others: [] })) }
  } catch (cause) {
    // Only a clip's frames say where they clip.
    if (!isIsochipError(cause) || frame.clip === undefined) throw cause
    const { code, message, hint, place } = cause
    const late = 'in a clip, say where the chart stands (at: { seconds: … })'
    throw new IsochipError(code, message, {
      hint: hint === undefined ? late : `${late}; ${hint}`,
      place,
      cause,
    })
  }
}

/** Says where smaller charts are, which were not read. */
export function otherCharts({ others }: PlacedChart): readonly Warning[] {
  if (others.length === 0) return []
  const where = others.map(
    ({ corners }) => `with its first patch at ${corners[0]!.map((at) => at.toFixed(0)).join(', ')}`,
  )
  return [
    {
      code: 'charts-several',
      message: `the largest chart in the frame was read; ${others.length === 1 ? 'there is another' : `there are ${others.length} others`}: ${where.join('; ')}`,
    },
  ]
}
