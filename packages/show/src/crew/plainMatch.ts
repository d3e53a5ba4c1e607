import { type EncodingSpec, resolveEncoding } from '@isochip/core'
import type { SetupMatch } from '../match/matchSetup.ts'

/** A match without functions, so that it can be kept, and go to another thread. */
export interface PlainMatch extends Omit<SetupMatch, 'source'> {
  readonly source: EncodingSpec
}

export const plainMatch = (one: SetupMatch): PlainMatch => ({ ...one, source: one.source.spec })

export const setupMatchOf = (one: PlainMatch): SetupMatch => ({ ...one, source: resolveEncoding(one.source) })
