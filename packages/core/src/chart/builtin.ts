import { IsochipError } from '../errors.ts'
import { buoy47 } from './buoy47.ts'
import type { Chart, GridChart } from './chart.ts'
import { chart24 } from './chart24.ts'
import { quay48 } from './quay48.ts'

/** The charts that come with isochip. */
export const builtinCharts: readonly Chart[] = [chart24, quay48, buoy47]

/** @throws IsochipError `chart-unknown` */
export function builtinChart(id: 'chart24' | 'quay48'): GridChart
export function builtinChart(id: string): Chart
export function builtinChart(id: string): Chart {
  const chart = builtinCharts.find((candidate) => candidate.id === id)
  if (chart !== undefined) return chart
  throw new IsochipError('chart-unknown', `no chart is called "${id}"`, {
    hint: `built in are ${builtinCharts.map((known) => known.id).join(', ')}; a chart of your own is given as the path of its file`,
  })
}
