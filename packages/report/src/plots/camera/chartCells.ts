import { type Chart, regionCentre, regionOf } from '@isochip/core'

/** Where the patches of a chart are drawn: all of one size, none over another. */
export interface ChartCells {
  /** Width and height of the drawing, in cells. */
  readonly columns: number
  readonly rows: number
  /** Of each patch, in the chart's order, the upper left corner of its cell. */
  readonly at: readonly (readonly [column: number, row: number])[]
}

/**
 * Where the patches of a chart are drawn: in its rows and columns, or, where it has none, as its regions stand to each other, in
 * cells as large as the nearest two allow.
 */
export function chartCells(chart: Chart): ChartCells {
  const { patches } = chart
  if (chart.regions === undefined) {
    const { rows, columns } = chart
    return { rows, columns, at: patches.map((_, i) => [i % columns, Math.floor(i / columns)]) }
  }
  const centres = patches.map((_, i) => regionCentre(regionOf(chart, i)))
  let pitch = Math.max(...chart.regions.size)
  centres.forEach(([ax, ay], i) => {
    for (const [bx, by] of centres.slice(i + 1))
      pitch = Math.min(pitch, Math.max(Math.abs(ax - bx), Math.abs(ay - by)))
  })
  const span = (axis: 0 | 1) => {
    const places = centres.map((centre) => centre[axis])
    const least = Math.min(...places)
    return { least, cells: (Math.max(...places) - least) / pitch + 1 }
  }
  const [x, y] = [span(0), span(1)]
  return {
    columns: x.cells,
    rows: y.cells,
    at: centres.map(([cx, cy]) => [(cx - x.least) / pitch, (cy - y.least) / pitch]),
  }
}
