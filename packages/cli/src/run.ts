import type { Status } from './status.ts'
import type { Terminal } from './terminal.ts'

/** What a command is given besides its words. */
export interface Run {
  readonly terminal: Terminal
  /** Aborted by Ctrl-C. */
  readonly signal: AbortSignal | undefined
  /** Where readings are kept from run to run unless told otherwise. */
  readonly cacheFolder: string | undefined
  setStatus(status: Status): void
}
