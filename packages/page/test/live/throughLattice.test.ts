import { type LatticeLut, trilinear } from '@isochip/export'
import fc from 'fast-check'
import { expect, it } from 'vitest'
import { throughLattice } from '../../src/live/picture/throughLattice.ts'

const level = fc.oneof(fc.double({ min: -0.5, max: 1.5, noNaN: true }), fc.constantFrom(0, 1, Number.NaN))

it('is what the LUT of the export is by trilinear interpolation, within and beyond its domain', () => {
  fc.assert(
    fc.property(
      fc.integer({ min: 2, max: 5 }),
      fc.double({ min: -0.2, max: 0, noNaN: true }),
      fc.double({ min: 0.8, max: 1.3, noNaN: true }),
      fc.array(level, { minLength: 6, maxLength: 6 }),
      fc.integer({ min: 1, max: 1e6 }),
      (size, low, high, levels, seed) => {
        const tableRedFastest = Float32Array.from({ length: 3 * size ** 3 }, (_, i) =>
          Math.abs(((i + 1) * seed * 0.6180339887) % 1),
        )
        const lut: LatticeLut = {
          ...{ kind: 'lattice', size, tableRedFastest },
          ...{ domainMin: [low, low, low], domainMax: [high, high, high] },
        }
        const given = Float32Array.from(levels)
        const due = new Float64Array(6)
        for (const at of [0, 3]) trilinear(lut, given[at]!, given[at + 1]!, given[at + 2]!, due, at)
        for (const [i, value] of throughLattice(given, lut).entries()) expect(value).toBeCloseTo(due[i]!, 5)
      },
    ),
    { seed: 12, numRuns: 200 },
  )
})
