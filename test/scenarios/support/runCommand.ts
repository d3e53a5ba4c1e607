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
 * What commands of this run of the tests keep for each other: many match the same small show. It is kept by all that it
 * was made from, which `cacheKeys.test.ts` holds; a test of what is made anew says `--no-cache` or has a folder of its own.
 */
const kept = join(scratchRoot, 'kept')

/**
 * Runs the command in this process, as from a pipe: no colour, no progress line. And in this thread, unless `--workers`
 * is given: a thread that is started from sources loads them anew, which takes longer than most of these shows.
 * `threads.test.ts` holds that the files are the same.
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
  const status = await main(argv, terminal, undefined, kept)
  return { status, out, err }
}
