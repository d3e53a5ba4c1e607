import { join } from 'node:path'
import { Command } from 'commander'
import { parseWhole } from '../parseNumber.ts'
import type { Run } from '../program.ts'
import { Progress } from '../progress.ts'
import { showResult } from '../showResult.ts'

interface Options {
  readonly out?: string
  readonly json?: boolean
  readonly force?: boolean
  /** A folder; true where nothing is said of it; false for none. */
  readonly cache: string | boolean
  readonly workers?: number
  readonly patches?: boolean
}

export const matchCommand = (run: Run): Command =>
  new Command('match')
    .summary('fit every camera and setup of a show, write LUTs and report')
    .description(
      'Reads the show file and its chart frames or readings, fits every camera and\n' +
        'setup to the target, writes LUTs, match files and a report, and prints how far\n' +
        'every match still is.',
    )
    .argument('<show>', 'show file (YAML or JSON)')
    .option('--out <folder>', 'folder for the files (default: isochip-out beside the show)')
    .option('--patches', 'print every patch as well')
    .option('--json', 'print one JSON document instead of the table')
    .option('--workers <number>', 'threads; 0 for none of its own (default: one a core)', parseWhole)
    .option('--cache <folder>', 'keep there what another run need not do again')
    .option('--no-cache', 'keep nothing and do everything again')
    .option('--force', 'replace files in the folder that isochip did not write')
    .action(async (show: string, options: Options) => {
      const { matchShow } = await import('@isochip/show/node')
      const cache =
        typeof options.cache === 'string' ? options.cache : options.cache ? run.cacheFolder : undefined
      const progress = new Progress(run.terminal)
      const result = await matchShow(show, {
        ...(options.out === undefined ? {} : { out: options.out }),
        ...(options.force === undefined ? {} : { force: options.force }),
        ...(cache === undefined ? {} : { cache }),
        ...(options.workers === undefined ? {} : { workers: options.workers }),
        ...(run.signal === undefined ? {} : { signal: run.signal }),
        onEvent: (event) => progress.on(event),
      }).finally(() => progress.end())
      await showResult(run, result, options)
      if (options.json) return
      const { kept, matches } = result
      if (kept.matches > 0)
        run.terminal.out(`\n${kept.matches} of ${matches.length} matches are as an earlier run made them.\n`)
      run.terminal.out(`\nLook at ${join(result.out, 'report.html')}\n`)
    })
