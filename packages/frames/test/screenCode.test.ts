import { resolveTransfer } from '@isochip/core'
import fc from 'fast-check'
import { expect, it } from 'vitest'
import { screenCode } from '../src/index.ts'

const transfer = resolveTransfer('srgb')

it('is the inverse of the curve at each of the 256 codes (IEC 61966-2-1, as core has it)', () => {
  for (let code = 0; code < 256; code++) expect(screenCode(transfer.decode(code / 255, 0))).toBe(code)
})

it('is nowhere further from the curve than half a code', () => {
  fc.assert(
    fc.property(fc.double({ min: 0, max: 1, noNaN: true }), (light) => {
      const exact = 255 * transfer.encode(light, 0)
      expect(Math.abs(screenCode(light) - exact)).toBeLessThan(0.5 + 1e-9)
    }),
    { numRuns: 5000, endOnFailure: true },
  )
})

it('ends at black and white', () => {
  expect([-0.1, Number.NaN, Number.NEGATIVE_INFINITY].map(screenCode)).toEqual([0, 0, 0])
  expect([1, 1.7, Number.POSITIVE_INFINITY].map(screenCode)).toEqual([255, 255, 255])
})
