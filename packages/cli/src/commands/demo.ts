import { join } from 'node:path'
import { Command } from 'commander'
import { Progress } from '../progress.ts'
import type { Run } from '../run.ts'
import { showResult } from '../showResult.ts'

interface Options {
  readonly out: string
  readonly json?: boolean
  readonly force?: boolean
}

export const demoCommand = (run: Run): Command =>
  new Command('demo')
    .summary('render a show with three cameras, and match it')
    .description(
      'Renders “Harbour Kitchen”, an invented show with three cameras and two setups,\n' +
        'as chart frames with a show file, and matches it as isochip match would.',
    )
    .option('--out <folder>', 'folder for the show and its files', 'isochip-demo')
    .option('--json', 'print one JSON document instead of the table')
    .option('--force', 'replace files in the folder that isochip did not write')
    .action(async (options: Options) => {
      const { matchShow } = await import('@isochip/show/node')
      const { writeDemoShow } = await import('../writeDemoShow.ts')
      const { terminal, signal } = run
      const show = await writeDemoShow(options.out, options.force ?? false, signal, (done, all, what) => {
        if (terminal.live)
          terminal.err(`\r\u001b[K${done === all ? '' : `rendering ${what}, ${done + 1} of ${all}`}`)
      })
      const progress = new Progress(terminal)
      const result = await matchShow(show, {
        force: options.force ?? false,
        ...(signal === undefined ? {} : { signal }),
        onEvent: (event) => progress.on(event),
      }).finally(() => progress.end())
      await showResult(run, result, options)
      if (options.json) return
      terminal.out(
        `\nLook at ${join(result.out, 'report.html')}\n` +
          `The show is ${show}; change it and run: isochip match ${show}\n`,
      )
    })
