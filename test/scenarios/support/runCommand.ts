import { main } from '../../../packages/cli/src/main.ts'

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
 */
export async function runCommand(...given: string[]): Promise<Ran> {
  const argv =
    inThreads.includes(given[0] ?? '') && !given.includes('--workers') ? [...given, '--workers', '0'] : given
  let out = ''
  let err = ''
  const status = await main(argv, {
    out: (text) => {
      out += text
    },
    err: (text) => {
      err += text
    },
    colour: false,
    errColour: false,
    live: false,
    width: 80,
  })
  return { status, out, err }
}
