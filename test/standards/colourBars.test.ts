import {
  bars75,
  fractionFromNominal,
  resolvePrimaries,
  resolveTransfer,
  rgbToXyz,
  ycbcrOfCode,
} from '@isochip/core'
import { describe, expect, it } from 'vitest'

// SMPTE RP 219-1 (ITU-R BT.471 names them 100/0/75/0): Y′, C_B, C_R of 75 % bars in BT.709, 10-bit narrow range, as
// printed; values from memory.
const printed = {
  white: [721, 512, 512],
  yellow: [674, 176, 543],
  cyan: [581, 589, 176],
  green: [534, 253, 207],
  magenta: [251, 771, 817],
  red: [204, 435, 848],
  blue: [111, 848, 481],
} as const

const codes = new Map<string, readonly [number, number, number]>([
  ['white', [0.75, 0.75, 0.75]],
  ...bars75.map(({ name, code }) => [name, code] as const),
])

describe('75 % colour bars', () => {
  it.each(Object.entries(printed))('%s is %s', (name, expected) => {
    const { y, cb, cr } = ycbcrOfCode(codes.get(name)!)
    // ITU-R BT.709-6, item 4.6: luma has 876 steps from 64, colour differences 896 about 512.
    const ten = [1023 * fractionFromNominal(y, 'narrow', 10), 512 + 896 * cb, 512 + 896 * cr]
    expect(ten.map(Math.round)).toEqual(expected)
  })

  it('are what BT.709 itself makes of the Y row of its primaries', () => {
    // Item 3.2: the luma coefficients are the Y row, to four decimals; so is every bar, to a tenth of a code.
    const row = rgbToXyz(resolvePrimaries('bt709'))[1]
    for (const [name, code] of codes) {
      const luma = row[0] * code[0] + row[1] * code[1] + row[2] * code[2]
      expect(Math.abs(876 * (ycbcrOfCode(code).y - luma)), name).toBeLessThan(0.1)
    }
  })

  it('decoded and coded again are the same bars', () => {
    const transfer = resolveTransfer('bt709')
    for (const [, code] of codes) {
      for (const value of code) expect(transfer.encode(transfer.decode(value, 0), 0)).toBeCloseTo(value, 12)
    }
  })
})
