import type { IsochipError } from '@isochip/core'

/** What happens while a show is read and matched; for a progress display, and for warnings as they come. */
export type ShowEvent =
  | {
      readonly type: 'started'
      /** Shots to be read. */
      readonly shots: number
      readonly setups: number
      /** Matches to be made, borrowed ones too, as far as nothing fails. */
      readonly matches: number
    }
  | {
      readonly type: 'shot-read'
      readonly camera: string
      readonly setup: string
      /** Was it read in an earlier run? */
      readonly cached: boolean
      readonly done: number
      readonly shots: number
    }
  | {
      readonly type: 'shot-failed'
      readonly error: IsochipError
      readonly done: number
      readonly shots: number
    }
  | { readonly type: 'setup-matched'; readonly setup: string; readonly cameras: readonly string[] }
  | {
      readonly type: 'match-finished'
      readonly camera: string
      readonly setup: string
      /** Were its files made in an earlier run, and are still there? */
      readonly cached: boolean
      readonly done: number
      readonly matches: number
    }
  | {
      /** What an earlier run had kept is not as it was kept: it is thrown away, and made again. */
      readonly type: 'entry-discarded'
      readonly step: string
      readonly reason: string
      readonly file: string
    }
  | { readonly type: 'written'; readonly files: number; readonly unchanged: number }
