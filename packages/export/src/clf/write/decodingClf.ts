import type { Encoding } from '@isochip/core'
import type { ProcessList } from '../processList.ts'
import { decodeNodes } from './curveNodes.ts'

/**
 * An encoding by itself: code fractions to linear light in its primaries.
 *
 * @param bits per sample, which set where narrow range has its black and its white; default 10
 */
export function decodingClf(
  encoding: Encoding,
  { id, descriptions = [], bits = 10 }: { id: string; descriptions?: readonly string[]; bits?: number },
): ProcessList {
  const nodes = decodeNodes(encoding, bits, 'formula')
  return {
    id,
    ...(descriptions.length === 0 ? {} : { descriptions }),
    // Linear light of full range is no step at all, but a list has at least one.
    nodes: nodes.length > 0 ? nodes : [identity],
  }
}

const identity = {
  type: 'Matrix',
  matrix: [
    [1, 0, 0],
    [0, 1, 0],
    [0, 0, 1],
  ],
  offset: [0, 0, 0],
} as const
