import { resolveEncoding } from '@isochip/core'
import { describe, expect, it } from 'vitest'
import { doubtWarning } from '../src/curve/doubtWarning.ts'

const bt709 = resolveEncoding('bt709')
const declared = { mean: 2.4, leaveOneOut: 3.1 }
const doubt = { statistic: 3, declared, alternatives: [], remedies: [] }
const like = (transfer: 'srgb' | 'bt709', range: 'full' | 'narrow') => ({
  encoding: { transfer, range },
  mean: 0.6,
})

describe('words about a doubted encoding', () => {
  it('names what is declared, what it looks like and what would help, in this order', () => {
    const { code, message } = doubtWarning(bt709, {
      ...doubt,
      alternatives: [like('srgb', 'full')],
      remedies: [{ curve: 'corrected', model: 'auto', leaveOneOut: 0.9 }],
    })
    expect(code).toBe('encoding-doubtful')
    const places = [
      'bt709',
      'mean ΔE00 2.40, leave-one-out 3.10',
      'srgb in full range, mean ΔE00 0.60',
      'fit: { curve: corrected, model: auto } leaves 0.90',
    ].map((words) => message.indexOf(words))
    expect(Math.min(...places)).toBeGreaterThanOrEqual(0)
    expect(places).toEqual(places.toSorted((a, b) => a - b))
  })

  it('the same curve in the other range is a doubt of the range', () => {
    const other = bt709.spec.range === 'full' ? 'narrow' : 'full'
    const { code, message } = doubtWarning(bt709, { ...doubt, alternatives: [like('bt709', other)] })
    expect(code).toBe('range-doubtful')
    expect(message).toContain('the range declared')
  })

  it('where black alone speaks against it, grey scale and colours are not blamed', () => {
    const alone = doubtWarning(bt709, { ...doubt, black: -0.031 }).message
    expect(alone).toContain('black reads -3.1 % of white')
    expect(alone).not.toContain('does not explain')
    expect(alone).not.toContain('looks more like')
    const both = doubtWarning(bt709, { ...doubt, black: -0.031, alternatives: [like('srgb', 'full')] })
    expect(both.message).toContain('does not explain its grey scale and colours')
  })

  it('a toe is told by its direction, and not where black already says so', () => {
    expect(doubtWarning(bt709, { ...doubt, toe: 'crushed' }).message).toMatch(/are crushed: .* read lower/)
    expect(doubtWarning(bt709, { ...doubt, toe: 'lifted' }).message).toMatch(/are lifted: .* read higher/)
    expect(doubtWarning(bt709, { ...doubt, toe: 'lifted', black: -0.02 }).message).not.toContain('dark tones')
  })
})
