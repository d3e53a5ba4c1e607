import { readFile, stat } from 'node:fs/promises'
import { builtinChart, builtinCharts, type Chart, IsochipError, type Place } from '@isochip/core'
import { parseChart } from '@isochip/frames'
import { suggestion } from '../showFile/suggestion.ts'

/**
 * A built-in chart by its id, or a chart of one's own by the path of its file.
 *
 * @throws IsochipError `chart-unknown`, `chart-invalid` with line and column
 */
export function readChartFile(id: string): Promise<Chart> {
  return readChart(id, id, {}, readFile)
}

/** The same for a show: the path that an id stands for, the place where it is named, and who reads files. */
export async function readChart(
  id: string,
  path: string,
  place: Place,
  read: (path: string) => Promise<Buffer>,
): Promise<Chart> {
  const known = builtinCharts.map((chart) => chart.id)
  if (known.includes(id)) return builtinChart(id)
  if (!(await stat(path).catch(() => undefined))?.isFile()) {
    throw new IsochipError('chart-unknown', `"${id}" is neither a built-in chart nor a file`, {
      hint: suggestion(id, known, 'built in are'),
      place,
    })
  }
  return parseChart((await read(path)).toString('utf8'), path)
}
