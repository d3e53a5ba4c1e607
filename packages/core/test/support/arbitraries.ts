import type { AffineParts, Vec3 } from '@isochip/core'
import fc from 'fast-check'

/** Three thousandths between the bounds: whole numbers underneath, so that shrinking ends. */
export function thousandths(min: number, max: number): fc.Arbitrary<Vec3> {
  const number = fc.integer({ min, max }).map((n) => n / 1000)
  return fc.tuple(number, number, number)
}

const off = fc.integer({ min: -200, max: 200 }).map((n) => n / 1000)

/** Lift, gain and matrix as far off as a camera ever is. */
export const affineParts: fc.Arbitrary<AffineParts> = fc
  .record({
    lift: thousandths(-20, 20),
    gain: thousandths(300, 3000),
    off: fc.tuple(off, off, off, off, off, off),
  })
  .map(({ lift, gain, off: [a, b, c, d, e, f] }) => ({
    lift,
    gain,
    matrix: [
      [1 - a - b, a, b],
      [c, 1 - c - d, d],
      [e, f, 1 - e - f],
    ],
  }))
