import type { Readings, Vec3 } from '@isochip/core'

/**
 * How alike the pattern of patches is to another: the correlation of all their values, 1 where one is the other but for level and
 * contrast, about 0 where they have nothing to do with each other.
 */
export function likeness({ patches }: Readings, others: ReadonlyMap<string, Vec3>): number {
  const pairs = patches.flatMap(({ patch, rgb }) => {
    const other = others.get(patch)
    return other === undefined ? [] : rgb.map((value, c) => [value, other[c as 0]] as const)
  })
  const mean = (of: 0 | 1) => pairs.reduce((sum, pair) => sum + pair[of], 0) / pairs.length
  const [a, b] = [mean(0), mean(1)]
  let [ab, aa, bb] = [0, 0, 0]
  for (const [x, y] of pairs) {
    ab += (x - a) * (y - b)
    aa += (x - a) ** 2
    bb += (y - b) ** 2
  }
  // One level everywhere is like nothing.
  return aa < 1e-6 || bb < 1e-6 ? 0 : ab / Math.sqrt(aa * bb)
}
