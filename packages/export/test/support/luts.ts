import fc from 'fast-check'
import type { LatticeLut } from '../../src/index.ts'

const finite = fc.double({ min: -4, max: 4, noNaN: true }).map((x) => x + 0)

/** Any small lattice, any domain. */
export function latticeLuts(maxSize = 4): fc.Arbitrary<LatticeLut> {
  const bound = fc.double({ min: -2, max: 2, noNaN: true }).map((x) => x + 0)
  const width = fc.double({ min: 0.1, max: 3, noNaN: true })
  const triple = (a: fc.Arbitrary<number>) => fc.tuple(a, a, a)
  return fc.integer({ min: 2, max: maxSize }).chain((size) =>
    fc
      .tuple(
        triple(bound),
        triple(width),
        fc.array(finite, { minLength: 3 * size ** 3, maxLength: 3 * size ** 3 }),
      )
      .map(
        ([min, w, values]): LatticeLut => ({
          kind: 'lattice',
          size,
          domainMin: min,
          domainMax: [min[0] + w[0], min[1] + w[1], min[2] + w[2]],
          tableRedFastest: Float64Array.from(values),
        }),
      ),
  )
}
