import { given } from '@isochip/core'
import { Command, Option } from 'commander'
import { parseWhole } from '../options/parseNumber.ts'
import type { Run } from '../run.ts'
import { status } from '../status.ts'
import { errorText, warningText } from '../text/errorText.ts'
import { lineUpText } from '../text/lineUpText.ts'

interface Options {
  readonly setup?: string
  readonly once?: boolean
  readonly json?: boolean
  /** True where no port is given. */
  readonly page?: number | true
}

const usualPort = 7090

export const lineupCommand = (run: Run): Command =>
  new Command('lineup')
    .summary('before the show: what to turn at each camera, shot by shot')
    .description(
      'Watches the frames of a show file. Whenever those of a camera change, it reads ' +
        'them and prints that camera’s round: where it stands against the target, what to ' +
        'turn, and what is then expected. The next shot tells what was turned. ' +
        'Rounds are kept in lineup.json beside the show file.',
    )
    .argument('<show>', 'show file')
    .option('--setup <name>', 'the setup to line up (default: the first of the show)')
    .option('--once', 'look once at the frames that are there, and end')
    .option('--json', 'print one JSON document per round, one per line')
    .addOption(
      new Option(
        '--page [port]',
        `show it on a page as well, with scopes, served on this machine alone (default port: ${usualPort})`,
      )
        .argParser(parseWhole)
        .conflicts('once'),
    )
    .action(async (show: string, { setup, once, json, page: port }: Options) => {
      const { lineUpShow } = await import('@isochip/show/node')
      const { openLineUpPage } = await import('../page/openLineUpPage.ts')
      const { terminal, signal } = run
      const page =
        port === undefined
          ? undefined
          : await openLineUpPage(show, {
              port: port === true ? usualPort : port,
              ...given({ setup }),
            })
      if (page !== undefined) terminal.err(`The page: ${page.address}\n`)
      if (!once && !json) terminal.err('Watching the frames; Ctrl-C ends it.\n')
      const within = new Map<string, boolean>()
      let failed = false
      const events = lineUpShow(show, {
        ...given({ setup, once, signal }),
        ...(page === undefined
          ? {}
          : { onFrame: (camera, frame, encoding) => page.board.takeFrame(camera, frame, encoding) }),
      })
      for await (const event of events) {
        page?.board.takeEvent(event)
        if (event.type === 'trouble') {
          failed = true
          terminal.err(errorText(event.error, terminal))
        } else if (event.type === 'target') {
          terminal.err(`The cameras are lined up to ${event.camera}.\n`)
        } else {
          within.set(event.camera, event.within)
          if (event.type === 'standing') {
            // Whoever comes back from lunch sees where the cameras stand; for a program it is no new round.
            if (!json) terminal.out(`${lineUpText(event)}\n`)
            continue
          }
          if (json) terminal.out(`${JSON.stringify({ isochip: 'lineup-round/1', ...event })}\n`)
          else terminal.out(`${lineUpText(event)}\n`)
          for (const warning of event.warnings) terminal.err(warningText(warning, terminal))
        }
      }
      await page?.close()
      if (signal?.aborted) run.setStatus(status.cancelled)
      else if (failed) run.setStatus(status.input)
      else if ([...within.values()].includes(false)) run.setStatus(status.outOfTolerance)
    })
