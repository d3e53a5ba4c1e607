import { join } from 'node:path'
import { Command, Option } from 'commander'
import { parseWhole } from '../options/parseNumber.ts'
import { Progress } from '../progress.ts'
import type { Run } from '../run.ts'
import { showResult } from '../showResult.ts'

interface Options {
  readonly out?: string
  readonly json?: boolean
  readonly force?: boolean
  readonly lineup?: boolean
  readonly page: number
  readonly turn?: readonly string[]
}

export const demoCommand = (run: Run): Command =>
  new Command('demo')
    .summary('render a show with three cameras, and match it')
    .description(
      'Renders “Harbour Kitchen”, an invented show with three cameras and two setups, ' +
        'as chart frames with a show file, and matches it as isochip match would. ' +
        'With --lineup its cameras are simulated before the show: a page says what to turn ' +
        'at each, and has the buttons to turn it.',
    )
    .option(
      '--out <folder>',
      'folder for the show and its files (default: isochip-demo, or isochip-studio with --lineup)',
    )
    .addOption(new Option('--lineup', 'line simulated cameras up, on a page').conflicts('json'))
    .addOption(new Option('--page <port>', 'its port').argParser(parseWhole).default(7090))
    .option(
      '--turn <words...>',
      'turn at a simulated camera, have it shoot, and end: a camera, then controls in the units of the advice: cross exposure=0.35 pedestal=-2,-1.8,-2.3 R=8.1 B=-7 R-G=0.12',
    )
    .option('--json', 'print one JSON document instead of the table')
    .option('--force', 'replace files in the folder that isochip did not write')
    .action(async ({ out, ...options }: Options) => {
      if (options.lineup || options.turn !== undefined) return lineUp(run, out ?? 'isochip-studio', options)
      const { matchShow } = await import('@isochip/show/node')
      const { writeDemoShow } = await import('../writeDemoShow.ts')
      const { terminal, signal } = run
      const show = await writeDemoShow(
        out ?? 'isochip-demo',
        options.force ?? false,
        signal,
        (done, all, what) => {
          if (terminal.live)
            terminal.err(`\r\u001b[K${done === all ? '' : `rendering ${what}, ${done + 1} of ${all}`}`)
        },
      )
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

async function lineUp(
  run: Run,
  out: string,
  { page, turn, force }: Pick<Options, 'page' | 'turn' | 'force'>,
): Promise<void> {
  const { DemoStudio } = await import('../studio/demoStudio.ts')
  const { terminal } = run
  const studio = await DemoStudio.open(out, force ?? false, (camera) => {
    terminal.err(`rendering camera ${camera}\n`)
  })
  if (turn === undefined) {
    const { runStudio } = await import('../studio/runStudio.ts')
    return runStudio(studio, { port: page }, run)
  }
  const { turnOfWords } = await import('../studio/turnOfWords.ts')
  const [camera, ...words] = turn
  await studio.turn(camera!, turnOfWords(words))
  await studio.shoot(camera!)
  terminal.err(`${camera} was turned, and has shot the chart.\n`)
}
