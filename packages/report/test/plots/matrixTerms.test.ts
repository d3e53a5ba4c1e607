import type { Mat3 } from '@isochip/core'
import { describe, expect, it } from 'vitest'
import { matrixTerms, matrixTermsScale } from '../../src/plots/responses/matrixTerms.ts'
import { rounding, withClass } from '../support/svg.ts'

const matrix: Mat3 = [
  [1.5, 0.1, -0.2],
  [0, 1, 0.3],
  [-0.1, 0.2, 0.8],
]
const intervals = matrix.map((row) => row.map((value) => [value - 0.1, value + 0.05] as const))
const names = ['RR', 'RG', 'RB', 'GR', 'GG', 'GB', 'BR', 'BG', 'BB']

describe('matrixTerms', () => {
  it('puts every term at its value and its band from low to high, row by row, about zero', () => {
    const x = matrixTermsScale(intervals)
    const picture = matrixTerms(matrix, intervals, names, 'test')
    const number = (text: string | undefined) => Number(text)
    const values = withClass(picture, 'path', 'value').map(({ d }) => number(d!.match(/^M([\d.]+) /)![1]))
    const bands = withClass(picture, 'path', 'span').map(({ d }) => d!.match(/^M([\d.]+) [\d.]+H([\d.]+)$/)!)
    for (const [i, value] of matrix.flat().entries()) {
      expect(Math.abs(values[i]! - x(value))).toBeLessThan(rounding)
      expect(Math.abs(number(bands[i]![1]) - x(value - 0.1))).toBeLessThan(rounding)
      expect(Math.abs(number(bands[i]![2]) - x(value + 0.05))).toBeLessThan(rounding)
    }
    const [zero] = withClass(picture, 'path', 'zero')
    expect(Math.abs(number(zero!.d!.match(/^M([\d.]+) /)![1]) - x(0))).toBeLessThan(rounding)
    expect(picture.text).toContain('>+1.500 ± 0.075</text>')
  })
})
