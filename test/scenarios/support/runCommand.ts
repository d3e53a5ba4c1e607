import { join } from 'node:path'
import { main } from '../../../packages/cli/src/main.ts'
import { scratchRoot } from '../../support/scratchFolder.ts'

export interface Ran {
  readonly status: number
  readonly out: string
  readonly err: string
}

/** Commands that read the charts of a show, in threads unless they are told otherwise. */
const inThreads = ['match', 'verify', 'compare']

/**
 * Runs the command in this process, as from a pipe: no colour, no progress line. And in this thread, unless `--workers`
 * is given: a thread that is started from sources loads them anew, which takes longer than most of these shows.
 * `threads.test.ts` holds that the files are the same.
 *
 * What was read and fitted is kept for all tests of the run, as the command keeps it for its user. A test that two runs
 * come to the same gives `--no-cache`.
 */
export async function runCommand(...given: string[]): Promise<Ran> {
  const argv =
    inThreads.includes(given[0] ?? '') && !given.includes('--workers') ? [...given, '--workers', '0'] : given
  let out = ''
  let err = ''
  const terminal = {
    out: (text: string) => {
      out += text
    },
    err: (text: string) => {
      err += text
    },
    colour: false,
    errColour: false,
    live: false,
    width: 80,
  }
  const status = await main(argv, terminal, undefined, join(scratchRoot, 'cache'))
  return { status, out, err }
}
