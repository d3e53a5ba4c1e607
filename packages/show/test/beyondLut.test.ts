import { fractionFromNominal, type Vec3 } from '@isochip/core'
import { describe, expect, test } from 'vitest'
import { beyondLut } from '../src/lut/beyondLut.ts'

/** A step of 8 bits: what lies no further out is no loss that anybody sees. */
const step = 1 / 255
const told = (rgb: Vec3, range: 'full' | 'narrow' = 'full') =>
  beyondLut([{ patch: 'white', rgb }], { range }, 10)

describe('beyondLut', () => {
  test.each([
    ['above', [0.5, 1 + step - 1e-9, 0.5], [0.5, 1 + step + 1e-9, 0.5]],
    ['below', [0.5, 0.5, -step + 1e-9], [0.5, 0.5, -step - 1e-9]],
  ] as const)('a step of 8 bits %s the lattice passes, anything further is named', (_, within, beyond) => {
    expect(told(within)).toBeUndefined()
    expect(told(beyond)).toMatchObject({
      code: 'beyond-lut',
      message: expect.stringMatching(/^white: code values outside 0…1/),
    })
  })

  test('the ends are those of the code range: narrow range reaches above its white', () => {
    // 10 bits: white is code 940 of 1023 (BT.709-6, 4.6), so that 1.05 of nominal is code 983.8, inside the range.
    expect(fractionFromNominal(1.05, 'narrow', 10)).toBeCloseTo(983.8 / 1023, 6)
    expect(told([1.05, 1.05, 1.05], 'narrow')).toBeUndefined()
    expect(told([1.05, 1.05, 1.05])?.message).toContain('(0.00 to 1.05)')
  })
})
