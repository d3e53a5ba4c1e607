import type { ChartCells } from '../../src/plots/camera/chartCells.ts'

/** The cells of a grid, row by row. */
export const gridCells = (rows: number, columns: number): ChartCells => ({
  rows,
  columns,
  at: Array.from({ length: rows * columns }, (_, i) => [i % columns, Math.floor(i / columns)] as const),
})
