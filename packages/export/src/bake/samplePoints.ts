import type { Vec3 } from '@isochip/core'

// The additive recurrence on the root of x^4 = x + 1, which fills a cube evenly at every length: M. Roberts, The
// unreasonable effectiveness of quasirandom sequences (2018), for three dimensions.
const root = 1.2207440846057596
const step = [1 / root, 1 / root ** 2, 1 / root ** 3] as const

/** `count` points spread evenly over the unit cube, always the same. */
export function* samplePoints(count: number): Generator<Vec3, void> {
  for (let i = 1; i <= count; i++) {
    yield [(0.5 + i * step[0]) % 1, (0.5 + i * step[1]) % 1, (0.5 + i * step[2]) % 1]
  }
}
