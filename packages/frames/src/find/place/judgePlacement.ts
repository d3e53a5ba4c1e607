import type { GridChart } from '@isochip/core'
import type { Point } from '../../geometry/homography.ts'
import { constants } from '../constants.ts'
import type { WorkingImage } from '../prepare/workingImage.ts'
import { applyChartModel, type ChartModel } from '../refine/chartModel.ts'
import type { CellColour } from './cellColour.ts'
import { cellColours } from './cellColours.ts'
import { colourFit } from './colourFit.ts'
import { type ChartCandidate, isHere, type Placement, placements } from './placements.ts'

/**
 * Why a found chart is believed. Every share is 0…1; `value` is their product, and of the first three 0.5 the least that is
 * accepted.
 */
export interface Confidence {
  readonly value: number
  /** Share of the variation of the patches' colours that the chart's reference values explain. */
  readonly explained: number
  /** 1 − what this placement leaves unexplained over what the next best one does (other turn, place, or chart). */
  readonly margin: number
  /** Share of the patches that are even in themselves. */
  readonly even: number
  /** Share of the patches that nothing lies over; told by `markForeign`. */
  readonly clear?: number
}

/** Cell colours through a model in frame pixels. Distortion bends less than a cell's inner part. */
export function modelColours(image: WorkingImage, model: ChartModel) {
  return (column: number, row: number): CellColour | undefined => {
    const point = (c: number, r: number): Point => {
      const [x, y] = applyChartModel(model, c, r)
      return [x * image.scale, y * image.scale]
    }
    const [x, y] = point(column, row)
    const [ax, ay] = point(column + 0.5, row)
    const [bx, by] = point(column, row + 0.5)
    const local = cellColours(image, [
      [2 * (ax - x), 2 * (bx - x), x],
      [2 * (ay - y), 2 * (by - y), y],
      [0, 0, 1],
    ])
    return local(0, 0)
  }
}

/** The refined placement beside all others: this chart moved and turned, and the other charts. */
export function judgePlacement(
  own: ChartCandidate,
  candidates: readonly ChartCandidate[],
  model: ChartModel,
  cell: (column: number, row: number) => CellColour | undefined,
): { readonly confidence: Confidence; readonly mirrored: boolean } | undefined {
  const { chart } = own
  const known = new Map<string, CellColour | undefined>()
  const cached = (column: number, row: number) => {
    const key = `${column},${row}`
    if (!known.has(key)) known.set(key, cell(column, row))
    return known.get(key)
  }
  const cells = chart.patches.map((_, k) => ({
    column: k % chart.columns,
    row: Math.floor(k / chart.columns),
  }))
  const all = candidates.flatMap((candidate) =>
    placements({ map: model.plane, members: cells }, candidate, cached),
  )
  const placed = all.find((one) => one.chart === chart && isHere(one))
  if (placed === undefined || placed.cut) return undefined
  const rival = all.reduce((most, one) => {
    if (one === placed || (isHere(one) && alike(own, candidates.find(({ chart }) => chart === one.chart)!)))
      return most
    // Moved by a row or more, it may not leave out as spoilt what lies beyond the chart; what lies beyond the picture
    // is left out already.
    return Math.max(most, one.cut || covers(one, chart) ? one.explained : one.whole)
  }, 0)
  const { explained, even } = placed
  const margin = Math.max(0, 1 - (1 - explained) / Math.max(1 - rival, 1e-9))
  return {
    confidence: { value: explained * margin * even, explained, margin, even },
    mirrored: placed.mirrored,
  }
}

/** Does a placement take up just the cells of the chart? */
function covers(one: Placement, chart: GridChart): boolean {
  const end = (axis: 0 | 1) =>
    one.origin[axis] + (one.chart.columns - 1) * one.across[axis] + (one.chart.rows - 1) * one.down[axis]
  const span = (axis: 0 | 1) => [one.origin[axis], end(axis)].sort((a, b) => a - b)
  const [x, y] = [span(0), span(1)]
  return x[0] === 0 && y[0] === 0 && x[1] === chart.columns - 1 && y[1] === chart.rows - 1
}

/** Are two charts the same patches in the same places, as a chart and the measured values of one copy are? */
function alike(a: ChartCandidate, b: ChartCandidate): boolean {
  if (a.chart.rows !== b.chart.rows || a.chart.columns !== b.chart.columns) return false
  const { tones, patches } = a.tones[0]!
  const cells = Array.from(
    { length: patches },
    (_, k): CellColour => ({
      rgb: [tones[3 * k]!, tones[3 * k + 1]!, tones[3 * k + 2]!],
      sd: 0,
      clipped: [false, false, false],
    }),
  )
  return colourFit(cells, b.tones[0]!).explained > constants.placement.alike
}
