import { fractionFromNominal, nominalFromFraction } from '@isochip/core'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'

// ITU-R BT.709-6, item 4.6 (8 and 10 bits); BT.2100-2, table 9 (10 and 12 bits); 16 bits by the same rule.
const levels = [
  { bits: 8, black: 16, peak: 235 },
  { bits: 10, black: 64, peak: 940 },
  { bits: 12, black: 256, peak: 3760 },
  { bits: 16, black: 4096, peak: 60160 },
]

// EBU R 103, version 3.0 (2020): preferred minimum and maximum of RGB, −5 % … 105 %; the codes from memory.
const r103 = [
  { bits: 8, low: 5, high: 246 },
  { bits: 10, low: 20, high: 984 },
]

describe('narrow range', () => {
  it.each(levels)('$bits bits: black is $black, peak is $peak', ({ bits, black, peak }) => {
    const top = 2 ** bits - 1
    expect(top * fractionFromNominal(0, 'narrow', bits)).toBeCloseTo(black, 9)
    expect(top * fractionFromNominal(1, 'narrow', bits)).toBeCloseTo(peak, 9)
    expect(nominalFromFraction(black / top, 'narrow', bits)).toBeCloseTo(0, 12)
    expect(nominalFromFraction(peak / top, 'narrow', bits)).toBeCloseTo(1, 12)
  })

  it.each(r103)('$bits bits: codes $low and $high are −5 % and 105 %', ({ bits, low, high }) => {
    const percent = (code: number) => 100 * nominalFromFraction(code / (2 ** bits - 1), 'narrow', bits)
    // A code of 8 bits is 0.46 %: the codes are the percentages rounded.
    expect(Math.abs(percent(low) + 5)).toBeLessThan(0.25)
    expect(Math.abs(percent(high) - 105)).toBeLessThan(0.25)
  })
})

describe('full range', () => {
  it.each(levels)('$bits bits: 0 and all ones are black and peak', ({ bits }) => {
    expect(nominalFromFraction(0, 'full', bits)).toBe(0)
    expect(nominalFromFraction(1, 'full', bits)).toBe(1)
  })
})

describe('both ranges', () => {
  it('come back for every code of every depth', () => {
    fc.assert(
      fc.property(
        fc.constantFrom('full' as const, 'narrow' as const),
        fc.constantFrom(8, 10, 12, 16),
        fc.integer({ min: 0, max: 65535 }),
        (range, bits, any) => {
          const fraction = (any % 2 ** bits) / (2 ** bits - 1)
          const nominal = nominalFromFraction(fraction, range, bits)
          expect(fractionFromNominal(nominal, range, bits)).toBeCloseTo(fraction, 14)
        },
      ),
      { endOnFailure: true },
    )
  })
})
