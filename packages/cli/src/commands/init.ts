import { dirname, relative, resolve } from 'node:path'
import { builtinCharts, given } from '@isochip/core'
import { Command } from 'commander'
import type { Run } from '../run.ts'

interface Options {
  readonly chart?: string
  readonly out?: string
  readonly force?: boolean
}

export const initCommand = (run: Run): Command =>
  new Command('init')
    .summary('look at a folder of frames, propose a show file')
    .description(
      'Looks at the frames in a folder and below it, finds charts in them, and prints a ' +
        'show file to complete: what it cannot work out is left as a line that says FILL IN. ' +
        'Camera and setup come from the names: CAMERA/SETUP-1.png, CAMERA/SETUP/1.png ' +
        'or CAMERA-SETUP-1.png; cards side by side (A001, B001) are cameras of one ' +
        'setup. An encoding is proposed where the frames are tagged with one.',
    )
    .argument('<folder>', 'folder with frames of charts')
    .option('--chart <id>', 'built-in chart, or path of a chart file (default: any built-in)')
    .option(
      '--out <file>',
      'write it to this file, with paths relative to it (default: print it, with paths relative to the folder)',
    )
    .option('--force', 'replace that file')
    .action(async (folder: string, options: Options) => {
      const { proposeShow, readChartFile, writeProposal } = await import('@isochip/show/node')
      const { terminal, signal } = run
      const base = options.out === undefined ? folder : dirname(options.out)
      const chart =
        options.chart === undefined
          ? undefined
          : { chart: await readChartFile(options.chart), name: chartName(options.chart, base) }
      const { text, shots } = await proposeShow(folder, {
        base,
        ...given({ chart, signal }),
        onShot: (done, all, shot) => {
          if (terminal.live) terminal.err(`\r\u001b[Klooking at ${shot}, ${done + 1} of ${all}`)
        },
      }).finally(() => {
        if (terminal.live) terminal.err('\r\u001b[K')
      })
      const seen = shots.filter((shot) => 'chart' in shot.seen).length
      const found = `A chart was found in ${seen} of ${shots.length} shots.`
      if (options.out === undefined) {
        terminal.out(text)
        terminal.err(`${found} Save this in ${folder} and complete the lines that say FILL IN.\n`)
        return
      }
      await writeProposal(options.out, text, options.force ?? false)
      terminal.out(`${options.out}\n`)
      terminal.err(`${found} Complete the lines that say FILL IN, then: isochip match ${options.out}\n`)
    })

/** A chart file is found from where the show lies. */
const chartName = (given: string, base: string) =>
  builtinCharts.some(({ id }) => id === given)
    ? given
    : relative(resolve(base), resolve(given)).replaceAll('\\', '/')
