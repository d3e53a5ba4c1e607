import type { ReadShowOptions } from '@isochip/show/node'
import type { Command } from 'commander'
import { parseWhole } from './parseNumber.ts'
import type { Run } from './program.ts'
import type { Progress } from './progress.ts'

/** Options of every command that reads the charts of a show. */
export interface ReadFlags {
  readonly workers?: number
  /** A folder; true where nothing is said of it; false for none. */
  readonly cache: string | boolean
  readonly verbose?: boolean
}

export const withReadFlags = (command: Command): Command =>
  command
    .option('--workers <number>', 'threads; 0 for none of its own (default: one a core)', parseWhole)
    .option('--cache <folder>', 'keep there what another run need not do again')
    .option('--no-cache', 'keep nothing and do everything again')
    .option('--verbose', 'say what was found wrong in the cache directory and made again')

export function readOptions(
  run: Run,
  { workers, cache, verbose }: ReadFlags,
  progress: Progress,
): ReadShowOptions {
  const folder = typeof cache === 'string' ? cache : cache ? run.cacheFolder : undefined
  return {
    ...(workers === undefined ? {} : { workers }),
    ...(folder === undefined ? {} : { cache: folder }),
    ...(run.signal === undefined ? {} : { signal: run.signal }),
    onEvent: (event) => {
      progress.on(event)
      if (verbose && event.type === 'entry-discarded')
        progress.say(`made again: the ${event.step} kept in ${event.file}, because ${event.reason}`)
    },
  }
}
