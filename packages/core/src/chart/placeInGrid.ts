import type { Chart } from './chart.ts'

/** Place of a patch in the grid, −1 … 1 across and down. */
export function placeInGrid(chart: Chart, index: number): readonly [number, number] {
  const column = index % chart.columns
  const row = Math.floor(index / chart.columns)
  const along = (at: number, count: number) => (count > 1 ? (2 * at) / (count - 1) - 1 : 0)
  return [along(column, chart.columns), along(row, chart.rows)]
}
