import { readFile } from 'node:fs/promises'
import { basename } from 'node:path'
import { builtinCharts, type Chart, chartIdPattern, given, IsochipError, type Warning } from '@isochip/core'
import { chartWithReference, parseCgats } from '@isochip/frames'
import { unreadable } from '../files/unreadable.ts'
import { readChartFile } from './readChartFile.ts'

export interface PrintOptions {
  /** Id of the chart that the print is. Default: made of the id of what was printed and the name of the file. */
  readonly id?: string
  /** When the values were measured, and the last day on which they are to be trusted; ISO dates. */
  readonly measured?: string
  readonly replaceBy?: string
}

/**
 * One print of a chart with the values that were measured on it: a chart of its own, since no two prints are alike.
 *
 * @param printed id of a built-in chart, or path of a chart file
 * @param values path of a CGATS text file (ISO 28178)
 * @throws IsochipError `chart-unknown`; `chart-invalid`, with line and column where there are any; `patches-missing`
 */
export async function readChartOfPrint(
  printed: string,
  values: string,
  { id, measured, replaceBy }: PrintOptions = {},
): Promise<{ readonly chart: Chart; readonly warnings: readonly Warning[] }> {
  const file = basename(values)
  const base = await readChartFile(printed)
  const own = checkId(id ?? idOf(base, file))
  if (measured !== undefined && replaceBy !== undefined && replaceBy <= measured)
    throw new IsochipError('chart-invalid', `measured on ${measured}, and to be replaced by ${replaceBy}`, {
      hint: 'check the two dates',
    })
  const text = await readFile(values, 'utf8').catch((cause: unknown) => {
    throw new IsochipError('chart-invalid', unreadable(cause, 'a CGATS text file'), {
      hint: 'give the path of the measurement, exported as CGATS (ISO 28178) text',
      place: { file: values },
      cause,
    })
  })
  const { chart, warnings } = chartWithReference(base, parseCgats(text, values))
  return {
    chart: {
      ...chart,
      id: own,
      title: `a print of ${base.id}, measured in ${file}`,
      // Where the file lay is nobody's business but its owner's.
      ...(chart.reference === undefined ? {} : { reference: { ...chart.reference, source: file } }),
      ...given({ measured, replaceBy }),
    },
    warnings,
  }
}

const hint = 'ids are of letters, digits, dots, dashes and underlines; give the print one of its own'

function idOf({ id }: Chart, file: string): string {
  const stem = file.replace(/\.[^.]*$/, '').replace(/\s+/g, '-')
  if (/^[A-Za-z0-9._-]+$/.test(stem)) return `${id}-${stem}`
  throw new IsochipError('chart-invalid', `no id can be made of the file name "${file}"`, { hint })
}

function checkId(id: string): string {
  if (!chartIdPattern.test(id))
    throw new IsochipError('chart-invalid', `"${id}" is not a valid chart id`, { hint })
  if (builtinCharts.some((chart) => chart.id === id))
    throw new IsochipError('chart-invalid', `${id} is a built-in chart, and this one is a print`, { hint })
  return id
}
