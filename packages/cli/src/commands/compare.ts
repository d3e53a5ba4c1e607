import { join } from 'node:path'
import type { ComparisonFile } from '@isochip/report'
import { Command } from 'commander'
import { faultOf } from '../faultOf.ts'
import { type ReadFlags, readOptions, withReadFlags } from '../options/readOptions.ts'
import { Progress } from '../progress.ts'
import type { Run } from '../run.ts'
import { status } from '../status.ts'
import { comparisonText } from '../text/comparisonText.ts'
import { errorText } from '../text/errorText.ts'

interface Options extends ReadFlags {
  readonly json?: boolean
  readonly out?: string
  readonly force?: boolean
}

export const compareCommand = (run: Run): Command =>
  withReadFlags(
    new Command('compare')
      .summary('compare the sensor responses of the cameras')
      .description(
        'Compares how the cameras of a show respond to the chart: the best matrix from ' +
          'each to each with its intervals, what no matrix removes, and how close each ' +
          'comes to the standard observer.',
      )
      .argument('<show>', 'show file (YAML or JSON)')
      .option('--out <folder>', 'also write compare.html, compare.csv and compare.json there')
      .option('--force', 'replace files in the folder that isochip did not write')
      .option('--json', 'print one JSON document instead of the tables')
      .action(async (show: string, options: Options) => {
        const { compareShow, writeComparison } = await import('@isochip/show/node')
        const { terminal } = run
        const progress = new Progress(terminal)
        const { failures, ...found } = await compareShow(show, readOptions(run, options, progress)).finally(
          () => progress.end(),
        )
        if (options.out !== undefined)
          await writeComparison({ ...found, failures }, options.out, { force: options.force ?? false })
        if (options.json) {
          const document: ComparisonFile = { isochip: 'compare/1', ...found, failures: failures.map(faultOf) }
          terminal.out(`${JSON.stringify(document, null, 2)}\n`)
        } else terminal.out(comparisonText(found))
        if (options.out !== undefined && !options.json)
          terminal.out(`\nLook at ${join(options.out, 'compare.html')}\n`)
        for (const failure of failures) terminal.err(errorText(failure, terminal))
        if (failures.length > 0) run.setStatus(status.input)
      }),
  )
