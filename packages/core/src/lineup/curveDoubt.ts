import type { EncodingDoubt } from '../match/result.ts'
import type { Curve } from './chain/chain.ts'
import { hasPedestal } from './chain/chain.ts'
import type { Panel } from './panel.ts'

/** The test of the curve as a whole speaks from here on, as where a match doubts it. */
const speaks = 1.5

/**
 * What is left of a doubt where the camera is about to be turned: of forty simulated cameras whose encoding is right, eleven were
 * in doubt by black alone, and half with a pedestal of 3 %. Black that is lifted or crushed is what a pedestal does, which the
 * advice takes away; where neither the whole curve speaks nor another one fits better, it is no doubt of the encoding.
 */
export function curveDoubt(
  doubt: EncodingDoubt | undefined,
  curve: Curve,
  panel: Panel,
): EncodingDoubt | undefined {
  if (doubt === undefined || !hasPedestal(curve) || !panel.groups.includes('pedestal')) return doubt
  return doubt.statistic > speaks || doubt.alternatives.length > 0 ? doubt : undefined
}
