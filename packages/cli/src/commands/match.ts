import { join } from 'node:path'
import { given } from '@isochip/core'
import { Command, Option } from 'commander'
import { type ReadFlags, readOptions, withReadFlags } from '../options/readOptions.ts'
import { strictOption } from '../options/strictOption.ts'
import { Progress } from '../progress.ts'
import type { Run } from '../run.ts'
import { showResult } from '../showResult.ts'

interface Options extends ReadFlags {
  readonly out?: string
  readonly json?: boolean
  readonly markdown?: boolean
  readonly force?: boolean
  readonly patches?: boolean
  readonly strict?: boolean
}

export const matchCommand = (run: Run): Command =>
  withReadFlags(
    new Command('match')
      .summary('match every camera and setup of a show, write LUTs and report')
      .description(
        'Reads the show file and its chart frames or readings, fits every camera and ' +
          'setup to the target, writes LUTs, match files and a report, and prints how far ' +
          'off each match still is.',
      )
      .argument('<show>', 'show file (YAML or JSON)')
      .option('--out <folder>', 'folder for the files (default: isochip-out beside the show)')
      .option('--patches', 'also print every patch')
      .addOption(
        new Option('--markdown', 'print the verdict for a ticket or a mail instead').conflicts('json'),
      )
      .option('--json', 'print one JSON document instead of the table')
      .addOption(strictOption())
      .option('--force', 'replace files in the folder that isochip did not write')
      .action(async (show: string, options: Options) => {
        const { matchShow } = await import('@isochip/show/node')
        const progress = new Progress(run.terminal)
        const result = await matchShow(show, {
          ...given({ out: options.out, force: options.force }),
          ...readOptions(run, options, progress),
        }).finally(() => progress.end())
        await showResult(run, result, options)
        if (options.json || options.markdown) return
        const { kept, matches } = result
        if (kept.matches > 0)
          run.terminal.out(
            `\nThe files of ${kept.matches} of ${matches.length} shots are unchanged from an earlier run.\n`,
          )
        run.terminal.out(`\nLook at ${join(result.out, 'report.html')}\n`)
      }),
  )
