import { type Chart, IsochipError, isIsochipError } from '@isochip/core'
import { type ChartMap, type Corners, type Frame, findChart } from '@isochip/frames'

/** Where the chart is, and the finer map of one that was found; corners given by hand come without. */
export interface PlacedChart {
  readonly corners: Corners
  readonly map?: ChartMap
}

/** @throws IsochipError `chart-not-found` where it is looked for */
export function placeChart(frame: Frame, chart: Chart, corners: Corners | undefined): PlacedChart {
  if (corners !== undefined) return { corners }
  try {
    const { corners: found, map } = findChart(frame, [chart])
    return { corners: found, ...(map === undefined ? {} : { map }) }
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
