import { type EncodingSpec, resolveEncoding } from '@isochip/core'
import type { SetupMatch } from '../fit/matchSetup.ts'
import { isMeasured } from '../load/measuredEncoding.ts'
import type { ShowPlan } from '../load/planShow.ts'

/** A match without functions, so that it can be kept, and go to another thread. */
export interface PlainMatch extends Omit<SetupMatch, 'source'> {
  readonly source: EncodingSpec
}

export const plainMatch = (one: SetupMatch): PlainMatch => ({ ...one, source: one.source.spec })

/** With the plan's own encoding where it knows one, because what bakes work out of a curve stays with the curve. */
export function setupMatchOf(one: PlainMatch, { encodings }: ShowPlan): SetupMatch {
  const declared = encodings.get(one.camera)!
  return { ...one, source: isMeasured(declared) ? resolveEncoding(one.source) : declared }
}
