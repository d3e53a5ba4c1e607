import { readFile } from 'node:fs/promises'
import { type Chart, IsochipError, type Warning } from '@isochip/core'
import { chartWithReference, parseCgats } from '@isochip/frames'
import { unreadable } from '../files/unreadable.ts'

/**
 * A chart with the values that were measured on one print of it.
 *
 * @param path of a CGATS text file (ISO 28178)
 * @throws IsochipError `chart-invalid`, with line and column where there are any; `patches-missing`
 */
export async function readChartValues(
  chart: Chart,
  path: string,
): Promise<{ readonly chart: Chart; readonly warnings: readonly Warning[] }> {
  const text = await readFile(path, 'utf8').catch((cause: unknown) => {
    throw new IsochipError('chart-invalid', unreadable(cause, 'a CGATS text file'), {
      hint: 'give the path of the measurement, exported as CGATS (ISO 28178) text',
      place: { file: path },
      cause,
    })
  })
  return chartWithReference(chart, parseCgats(text, path))
}
