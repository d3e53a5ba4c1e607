import type { Chart } from './chart.ts'
import { regionCentre, regionOf } from './region.ts'

/** Place of a patch on the chart, −1 … 1 across and down. */
export function placeOnChart(chart: Chart, index: number): readonly [number, number] {
  if (chart.regions !== undefined) {
    const [x, y] = regionCentre(regionOf(chart, index))
    const [width, height] = chart.regions.size
    return [(2 * x) / width - 1, (2 * y) / height - 1]
  }
  const column = index % chart.columns
  const row = Math.floor(index / chart.columns)
  const along = (at: number, count: number) => (count > 1 ? (2 * at) / (count - 1) - 1 : 0)
  return [along(column, chart.columns), along(row, chart.rows)]
}
