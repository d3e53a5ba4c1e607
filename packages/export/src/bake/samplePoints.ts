import type { Vec3 } from '@isochip/core'
import { tripleAt } from '../lut/triples.ts'

// The additive recurrence on the root of x^4 = x + 1, which fills a cube evenly at every length: M. Roberts, The
// unreasonable effectiveness of quasirandom sequences (2018), for three dimensions.
const root = 1.2207440846057596
const step = [1 / root, 1 / root ** 2, 1 / (root * root * root)] as const

/** `count` points spread evenly over the unit cube, always the same. */
export function* samplePoints(count: number): Generator<Vec3, void> {
  const triples = sampleTriples(count)
  for (let i = 0; i < triples.length; i += 3) yield tripleAt(triples, i)
}

/** The same, one after the other. */
export function sampleTriples(count: number): Float64Array {
  const triples = new Float64Array(3 * count)
  for (let i = 1, at = 0; i <= count; i++) {
    for (let c = 0; c < 3; c++) {
      const x = 0.5 + i * step[c]!
      triples[at++] = x - Math.floor(x)
    }
  }
  return triples
}
