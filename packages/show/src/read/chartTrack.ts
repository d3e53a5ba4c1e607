import type { Chart, Readings } from '@isochip/core'
import { type Frame, type Quad, refineChart, sampleChart } from '@isochip/frames'
import { likeness } from './likeness.ts'
import { type PlacedChart, placeChart } from './placeChart.ts'

/** Corners are believed where the edges of most patches are seen, lie where they should, and have not gone far, in pitches. */
const sure = { seen: 0.5, misfit: 0.05, moved: 0.3 }
/** Patches that are those of before are so alike, whatever was turned at the camera; a chart that moved by a whole patch is not. */
const same = 0.9

/**
 * Where the chart of one camera stands, from shot to shot: looked for by its edges where it last was, and in the whole frame when it
 * is not there any more.
 */
export class ChartTrack {
  #last: { readonly size: string; readonly corners: Quad; readonly readings: Readings } | undefined
  #placed: { readonly size: string; readonly corners: Quad } | undefined
  /** How often the whole frame was searched. */
  searches = 0

  /** @throws IsochipError `chart-not-found` */
  place(frame: Frame, chart: Chart): PlacedChart {
    const size = `${frame.width}×${frame.height}`
    const placed = this.#near(frame, chart, size) ?? this.#searched(frame, chart)
    const { corners, others } = placed
    // Of several charts the largest is read: each time anew, since they may change places.
    this.#placed = others.length > 0 ? undefined : { size, corners: corners as Quad }
    if (others.length > 0) this.#last = undefined
    return placed
  }

  /** What was read at the place that was found last. */
  keep(readings: Readings): void {
    if (this.#placed !== undefined) this.#last = { ...this.#placed, readings }
  }

  #searched(frame: Frame, chart: Chart): PlacedChart {
    this.searches++
    return placeChart(frame, chart, undefined)
  }

  #near(frame: Frame, chart: Chart, size: string): PlacedChart | undefined {
    const last = this.#last
    if (last === undefined || last.size !== size) return undefined
    try {
      const { corners, map, seen, misfit = 1, moved } = refineChart(frame, chart, last.corners)
      if (seen < sure.seen * chart.patches.length || misfit > sure.misfit || moved > sure.moved)
        return undefined
      const { readings } = sampleChart({ frames: [frame], chart, corners, map, range: 'full' })
      const before = new Map(last.readings.patches.map(({ patch, rgb }) => [patch, rgb]))
      return likeness(readings, before) < same ? undefined : { corners, map, others: [] }
    } catch {
      // It has moved out of the frame: no longer corners of this one.
      return undefined
    }
  }
}
