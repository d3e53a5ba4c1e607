import { illuminantNames, illuminantWhites, xyzFromXy } from '@isochip/core'
import { type LightName, lightPower, xyzOf } from '@isochip/synthetic'
import { describe, expect, it } from 'vitest'

describe('whites of the illuminants', () => {
  // CIE 15:2004 / 015:2018, tables T.3 and following, 2° observer. D65 to the four digits of ITU-R BT.709-6, item 1.4;
  // D60 is the white of the ACES encodings, S-2008-001. Values from memory.
  it.each([
    ['A', 0.44758, 0.40745],
    ['C', 0.31006, 0.31616],
    ['D50', 0.34567, 0.3585],
    ['D55', 0.33243, 0.34744],
    ['D60', 0.32168, 0.33767],
    ['D65', 0.3127, 0.329],
    ['D75', 0.29903, 0.31488],
    ['E', 1 / 3, 1 / 3],
  ] as const)('%s is at %d, %d', (name, x, y) => expect(illuminantWhites[name]).toEqual([x, y]))

  it('are all in that table', () => expect(illuminantNames).toHaveLength(8))

  // The tabulated spectra (CIE 015:2018) through the CIE 1931 observer, by 5 nm.
  it.each<LightName & keyof typeof illuminantWhites>(['A', 'C', 'D50', 'D65'])(
    '%s is the colour of its spectrum',
    (name) => {
      const [X, Y, Z] = xyzOf(lightPower(name))
      const [x, y] = illuminantWhites[name]
      // D65 is rounded to four digits, and the sums are by 5 nm instead of 1.
      expect(Math.abs(X / (X + Y + Z) - x)).toBeLessThan(5e-5)
      expect(Math.abs(Y / (X + Y + Z) - y)).toBeLessThan(5e-5)
    },
  )

  // XYZ as profiles and colour standards print them, four decimals, from memory: D65 0.9505, 1, 1.0891 (BT.709 white);
  // D50 0.9642, 1, 0.8251 from its five-digit x, y.
  it('have their XYZ with Y = 1', () => {
    for (const [name, xyz] of [
      ['D65', [0.9505, 1, 1.0891]],
      ['D50', [0.9642, 1, 0.8252]],
      ['A', [1.0985, 1, 0.3558]],
    ] as const) {
      for (const [i, value] of xyzFromXy(illuminantWhites[name]).entries()) {
        expect(value).toBeCloseTo(xyz[i]!, 3)
      }
    }
  })
})
