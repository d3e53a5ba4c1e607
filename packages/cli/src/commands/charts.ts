import { builtinCharts, IsochipError } from '@isochip/core'
import { Command, InvalidArgumentError, Option } from 'commander'
import { parseDate } from '../options/parseDate.ts'
import type { Run } from '../run.ts'
import { chartList, chartText } from '../text/chartText.ts'
import { warningText } from '../text/errorText.ts'

interface Options {
  readonly values?: string
  readonly id?: string
  readonly measured?: string
  readonly replaceBy?: string
  readonly light?: string
  readonly observer: 2 | 10
  readonly json?: boolean
}

export const chartsCommand = (run: Run): Command =>
  new Command('charts')
    .summary('list the built-in charts, print one, or describe your own print')
    .description(
      'Lists the built-in charts, or prints the patches and values of one. With values ' +
        'measured on a print of it, your print becomes a chart of its own:\n' +
        'isochip charts quay48 --values print-7.txt --json > print-7.chart.json',
    )
    .argument('[id]', 'built-in chart, or path of a chart file')
    .option('--values <file>', 'values measured on your print, as CGATS text (ISO 28178)')
    .option('--id <id>', 'what to call your print (default: made from the names of chart and file)')
    .option('--measured <date>', 'when it was measured, such as 2026-03-01', parseDate)
    .option('--replace-by <date>', 'last day on which to trust its values', parseDate)
    .option(
      '--light <light>',
      'values in this light, from the spectra: a CIE illuminant, or a measured light (CSV or CGATS)',
    )
    .addOption(
      new Option('--observer <degrees>', 'standard observer for --light').default(2).argParser(parseObserver),
    )
    .option('--json', 'print JSON; for one chart, a chart file')
    .action(async (id: string | undefined, options: Options) => {
      const { json = false, values, light, observer, ...print } = options
      const { terminal } = run
      if (
        (id === undefined && values !== undefined) ||
        (values === undefined && Object.keys(print).length > 0)
      )
        throw new IsochipError('usage', 'a print needs both its chart and its values', {
          hint: 'give both, such as: isochip charts quay48 --values print-7.txt',
        })
      if (id === undefined && light !== undefined)
        throw new IsochipError('usage', 'values in a light are of one chart', {
          hint: 'give the chart, such as: isochip charts chart24 --light A',
        })
      if (id === undefined) {
        const list = builtinCharts.map((chart) => ({
          id: chart.id,
          title: chart.title,
          patches: chart.patches.length,
        }))
        terminal.out(json ? `${JSON.stringify(list, null, 2)}\n` : chartList(builtinCharts))
        return
      }
      const { readChartFile, readChartInLight, readChartOfPrint } = await import('@isochip/show/node')
      const { chartToJson } = await import('@isochip/frames')
      const { chart, warnings } =
        values === undefined
          ? { chart: await readChartFile(id), warnings: [] }
          : await readChartOfPrint(id, values, print)
      const shown = light === undefined ? chart : await readChartInLight(chart, light, observer)
      terminal.out(json ? chartToJson(shown) : chartText(shown))
      for (const warning of warnings) terminal.err(warningText(warning, terminal))
    })

function parseObserver(degrees: string): 2 | 10 {
  if (degrees === '2') return 2
  if (degrees === '10') return 10
  throw new InvalidArgumentError('expected 2 or 10')
}
