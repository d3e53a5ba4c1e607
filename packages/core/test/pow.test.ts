import fc from 'fast-check'
import { expect, it } from 'vitest'
import { pow } from '../src/encoding/pow.ts'

it('is the operator of ECMA-262 (base ** exponent) within 1e-14, for the exponents of the standards', () => {
  fc.assert(
    fc.property(
      fc.integer({ min: -6000, max: 3000 }),
      fc.constantFrom(0.45, 1 / 0.45, 1 / 2.4, 2.4),
      (thousandths, exponent) => {
        const base = 10 ** (thousandths / 1000)
        expect(Math.abs(pow(base, exponent) / base ** exponent - 1)).toBeLessThan(1e-14)
      },
    ),
    { endOnFailure: true },
  )
  expect([pow(0, 0.45), pow(1, 0.45), pow(Number.POSITIVE_INFINITY, 2.4)]).toEqual([
    0,
    1,
    Number.POSITIVE_INFINITY,
  ])
})
