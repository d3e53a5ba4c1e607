import fc from 'fast-check'
import { expect, it } from 'vitest'
import { quickPow } from '../src/elementary/quickPow.ts'

it('is the operator of ECMA-262 (base ** exponent) within 1e-14, for the exponents of the standards', () => {
  fc.assert(
    fc.property(
      fc.integer({ min: -6000, max: 3000 }),
      fc.constantFrom(0.45, 1 / 0.45, 1 / 2.4, 2.4, -0.55, 1.4),
      (thousandths, exponent) => {
        const base = 10 ** (thousandths / 1000)
        expect(Math.abs(quickPow(base, exponent) / base ** exponent - 1)).toBeLessThan(1e-14)
      },
    ),
    { endOnFailure: true },
  )
  expect([quickPow(0, 0.45), quickPow(1, 0.45), quickPow(Number.POSITIVE_INFINITY, 2.4)]).toEqual([
    0,
    1,
    Number.POSITIVE_INFINITY,
  ])
})
