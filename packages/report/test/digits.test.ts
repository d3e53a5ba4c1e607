import { describe, expect, it } from 'vitest'
import { deltaEText, figure, percentText, shareText, stopsText } from '../src/digits.ts'

describe('digits', () => {
  it('signs what is signed, never a zero', () => {
    expect([stopsText(0.314), stopsText(-0.314), stopsText(0.004), stopsText(-0.004)]).toEqual([
      '+0.31',
      '−0.31',
      '0.00',
      '0.00',
    ])
    expect(percentText(-0.0501)).toBe('−5.0')
    expect(shareText(0.617)).toBe('62 %')
  })

  it('shows a dash for a figure that does not exist', () => {
    expect([deltaEText(Number.NaN), stopsText(Number.POSITIVE_INFINITY)]).toEqual(['–', '–'])
  })

  it('gives scripts seven digits, no negative zero, null for what JSON cannot say', () => {
    expect(figure(1 / 3)).toBe(0.3333333)
    expect(Object.is(figure(-0), 0)).toBe(true)
    expect(figure(Number.NaN)).toBeNull()
  })
})
