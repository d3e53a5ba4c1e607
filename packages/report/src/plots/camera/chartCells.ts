import type { Chart } from '@isochip/core'

/** Patches in a line where a chart has no rows of its own. */
const inLine = 8

/** Rows and columns in which the patches of a chart are drawn, in their order: its own, or lines of eight. */
export const chartCells = ({ rows, columns, patches }: Chart): { rows: number; columns: number } =>
  rows === undefined ? { rows: Math.ceil(patches.length / inLine), columns: inLine } : { rows, columns }
