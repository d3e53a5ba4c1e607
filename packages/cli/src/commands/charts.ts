import { builtinCharts } from '@isochip/core'
import { Command } from 'commander'
import { chartList, chartText } from '../chartText.ts'
import type { Run } from '../program.ts'

export const chartsCommand = (run: Run): Command =>
  new Command('charts')
    .summary('list the built-in charts, or print the values of one')
    .description('Lists the built-in charts, or prints the patches and values of one.')
    .argument('[id]', 'built-in chart, or path of a chart file')
    .option('--json', 'print JSON: of one chart a chart file to start your own from')
    .action(async (id: string | undefined, options: { json?: boolean }) => {
      if (id === undefined) {
        const list = builtinCharts.map((chart) => ({
          id: chart.id,
          title: chart.title,
          patches: chart.patches.length,
        }))
        run.terminal.out(options.json ? `${JSON.stringify(list, null, 2)}\n` : chartList(builtinCharts))
        return
      }
      const { readChartFile } = await import('@isochip/show/node')
      const { chartToJson } = await import('@isochip/frames')
      const chart = await readChartFile(id)
      run.terminal.out(options.json ? chartToJson(chart) : chartText(chart))
    })
