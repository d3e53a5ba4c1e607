import { determinant3, type Mat3 } from '../linear/mat3.ts'
import { splitAffine } from '../model/splitAffine.ts'

/** By output channel, the channel of the readings that belongs there. */
export type Order = readonly [0 | 1 | 2, 0 | 1 | 2, 0 | 1 | 2]

/** The orders in which channels can be exchanged, as the end of a sentence that begins with "seems to have been read". */
const exchanged: Readonly<Record<'two' | 'all', readonly (readonly [Order, string])[]>> = {
  two: [
    [[2, 1, 0], 'with red and blue exchanged'],
    [[1, 0, 2], 'with red and green exchanged'],
    [[0, 2, 1], 'with green and blue exchanged'],
  ],
  all: [
    [[1, 2, 0], 'with the channels in the order blue, red, green'],
    [[2, 0, 1], 'with the channels in the order green, blue, red'],
  ],
}

/**
 * How far the right order is ahead of the next. A matrix with rows that sum to 1 has a diagonal that sums to 3 or more
 * where colours gain by it, and to 2 where they are halved; all three diagonals of one sense sum to 3.
 */
const ahead = 0.5

/**
 * How the channels of a camera are exchanged, where the matrix of its match undoes that: each output should follow
 * its own channel most. Two exchanged channels turn the sense of colours round (determinant below zero), which
 * nothing else does. `undefined` where the channels stand right, or where nothing is clear.
 *
 * @param matrix the camera's linear light → the same primaries: the declared conversion is taken out.
 */
export function channelOrder(matrix: Mat3): { order: Order; words: string } | undefined {
  const split = splitAffine(matrix, [0, 0, 0])
  if (split === undefined) return undefined
  const follows = (order: Order) =>
    split.matrix[0][order[0]] + split.matrix[1][order[1]] + split.matrix[2][order[2]]
  const turned = determinant3(matrix) < 0
  const [best, next] = exchanged[turned ? 'two' : 'all']
    .map(([order, words]) => ({ order, words, sum: follows(order) }))
    .sort((a, b) => b.sum - a.sum)
  const rival = turned ? next!.sum : Math.max(next!.sum, follows([0, 1, 2]))
  return best!.sum > rival + ahead ? best! : undefined
}
