import { basename } from 'node:path'
import { builtinCharts, type Chart, IsochipError } from '@isochip/core'
import type { chartSchema } from '@isochip/frames'
import { Command } from 'commander'
import { chartList, chartText } from '../chartText.ts'
import { warningText } from '../errorText.ts'
import { parseDate } from '../parseDate.ts'
import type { Run } from '../program.ts'

interface Options {
  readonly values?: string
  readonly id?: string
  readonly measured?: string
  readonly replaceBy?: string
  readonly json?: boolean
}

export const chartsCommand = (run: Run): Command =>
  new Command('charts')
    .summary('list the built-in charts, print one, or make one of your print')
    .description(
      'Lists the built-in charts, or prints the patches and values of one. With the\n' +
        'values that were measured on a print of it, it prints the chart that your print\n' +
        'is:  isochip charts quay48 --values print-7.txt --json > print-7.chart.json',
    )
    .argument('[id]', 'built-in chart, or path of a chart file')
    .option('--values <file>', 'values measured on your print, as CGATS text (ISO 28178)')
    .option('--id <id>', 'name of this chart (default: made of the chart and the file)')
    .option('--measured <date>', 'when they were measured, such as 2026-03-01', parseDate)
    .option('--replace-by <date>', 'from when on every run says that the print is old', parseDate)
    .option('--json', 'print JSON: of one chart a chart file')
    .action(async (id: string | undefined, options: Options) => {
      const { terminal } = run
      if (id === undefined) {
        refuseWithoutChart(options)
        const list = builtinCharts.map((chart) => ({
          id: chart.id,
          title: chart.title,
          patches: chart.patches.length,
        }))
        terminal.out(options.json ? `${JSON.stringify(list, null, 2)}\n` : chartList(builtinCharts))
        return
      }
      const { readChartFile, readChartValues } = await import('@isochip/show/node')
      const { chartSchema, chartToJson } = await import('@isochip/frames')
      const named = await readChartFile(id)
      const { values } = options
      const { chart, warnings } =
        values === undefined ? { chart: named, warnings: [] } : await readChartValues(named, values)
      const own = options.id ?? (values === undefined ? chart.id : ownId(chart, values))
      const { measured = chart.measured, replaceBy = chart.replaceBy } = options
      const dated: Chart = {
        ...chart,
        id: checkedId(own, chartSchema),
        ...(measured === undefined ? {} : { measured }),
        ...(replaceBy === undefined ? {} : { replaceBy }),
      }
      terminal.out(options.json ? chartToJson(dated) : chartText(dated))
      for (const warning of warnings) terminal.err(warningText(warning, terminal))
    })

function refuseWithoutChart({ json: _, ...rest }: Options): void {
  if (Object.keys(rest).length === 0) return
  throw new IsochipError('usage', 'there is no chart that this could be said of', {
    hint: 'name the chart that was printed, such as: isochip charts quay48 --values print-7.txt',
  })
}

/** Two prints are two charts, and are told apart by their ids. */
const ownId = ({ id }: Chart, values: string) =>
  `${id}-${basename(values)
    .replace(/\.[^.]*$/, '')
    .replace(/[^A-Za-z0-9._-]+/g, '-')}`

function checkedId(id: string, { properties }: typeof chartSchema): string {
  if (new RegExp(properties.id.pattern).test(id)) return id
  throw new IsochipError('usage', `"${id}" is no id of a chart`, {
    hint: 'ids are of letters, digits, dots, hyphens and underscores, the first a letter or digit',
  })
}
