import { describe, expect, it } from 'vitest'
import { budgetBars, budgetOrder, budgetScale } from '../../src/plots/show/budgetBars.ts'
import { elements, rounding } from '../support/svg.ts'

const budget = {
  noise: 0.1,
  clipping: 0,
  unevenness: 0.2,
  curve: 0.3,
  foreign: 0.15,
  spectral: 0.2,
  undetermined: 0.05,
  limit: 'spectral',
} as const
const picture = budgetBars([{ camera: 'cross', mean: 0.86, budget }], 520, 'test')

describe('budgetBars', () => {
  it('stacks the shares end to end over the whole length', () => {
    const x = budgetScale(520)
    const parts = elements(picture, 'rect').filter((e) => e.class?.startsWith('part') && e.height === '20')
    expect(parts.map((part) => part.class)).toEqual(budgetOrder.map((key) => `part ${key}`))
    const starts = [0, 0.1, 0.1, 0.3, 0.6, 0.75, 0.95]
    for (const [i, part] of parts.entries()) {
      expect(Math.abs(Number(part.x) - x(starts[i]!))).toBeLessThan(rounding)
      expect(Math.abs(Number(part.width) - (x(budget[budgetOrder[i]!]) - x(0)))).toBeLessThan(rounding)
    }
  })

  it('writes the shares that have room, and the mean', () => {
    for (const text of ['20 %', '30 %', '15 %', '0.86', 'cross'])
      expect(picture.text).toContain(`>${text}</text>`)
  })
})
