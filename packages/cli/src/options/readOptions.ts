import { given } from '@isochip/core'
import type { ReadShowOptions } from '@isochip/show/node'
import type { Command } from 'commander'
import type { Progress } from '../progress.ts'
import type { Run } from '../run.ts'
import { parseWhole } from './parseNumber.ts'

/** Options of every command that reads the charts of a show. */
export interface ReadFlags {
  readonly workers?: number
  /** A folder; true where nothing is said of it; false for none. */
  readonly cache: string | boolean
  readonly verbose?: boolean
}

export const withReadFlags = (command: Command): Command =>
  command
    .option('--workers <number>', 'worker threads; 0 = main thread only (default: one per core)', parseWhole)
    .option('--cache <folder>', 'cache directory: what another run need not repeat')
    .option('--no-cache', 'use no cache')
    .option('--verbose', 'report damaged cache entries, which are made again')

export function readOptions(
  run: Run,
  { workers, cache, verbose }: ReadFlags,
  progress: Progress,
): ReadShowOptions {
  const folder = typeof cache === 'string' ? cache : cache ? run.cacheFolder : undefined
  return {
    ...given({ workers, cache: folder, signal: run.signal }),
    onEvent: (event) => {
      progress.on(event)
      if (verbose && event.type === 'entry-discarded')
        progress.say(`made again: the ${event.step} kept in ${event.file}, because ${event.reason}`)
    },
  }
}
