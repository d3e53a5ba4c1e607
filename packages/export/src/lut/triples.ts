import type { Vec3 } from '@isochip/core'

/**
 * Changes triples of numbers in place, one after the other: [r, g, b, r, g, b, …]. For thousands of colours at once,
 * without a list for each.
 */
export type TripleMap = (triples: Float64Array) => void

/** A function of one colour, for many. */
export const tripleMap =
  (of: (one: Vec3) => Vec3): TripleMap =>
  (triples) => {
    for (let i = 0; i < triples.length; i += 3) triples.set(of(tripleAt(triples, i)), i)
  }

/** The same for one colour. */
export function singleTriple(map: TripleMap): (one: Vec3) => Vec3 {
  const triple = new Float64Array(3)
  return (one) => {
    triple.set(one)
    map(triple)
    return [triple[0]!, triple[1]!, triple[2]!]
  }
}

export const tripleAt = (triples: Float64Array, i: number): Vec3 => [
  triples[i]!,
  triples[i + 1]!,
  triples[i + 2]!,
]
