import { bars75, ycbcrOfCode } from '@isochip/core'
import { describe, expect, it } from 'vitest'
import { barsThrough } from '../../src/signal/scopeGraticule.ts'
import { bars10bit } from '../support/bars10bit.ts'

describe('bars75', () => {
  it('gives the 10-bit codes of 75 % bars in BT.709', () => {
    for (const { name, code } of bars75) {
      const { y, cb, cr } = ycbcrOfCode(code)
      // BT.709-6, item 4.6: 876 steps of luma from 64, 896 of colour difference about 512, rounded to a whole code.
      const codes = [64 + 876 * y, 512 + 896 * cb, 512 + 896 * cr].map(Math.round)
      expect([name, ...codes]).toEqual([name, ...bars10bit[name]])
    }
  })

  it('takes light through the OETF: unchanged light stays on the bars', () => {
    for (const [i, point] of barsThrough((light) => light).entries()) {
      const bar = ycbcrOfCode(bars75[i]!.code)
      expect(point.cb).toBeCloseTo(bar.cb, 9)
      expect(point.cr).toBeCloseTo(bar.cr, 9)
    }
  })
})
