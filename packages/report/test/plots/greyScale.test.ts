import { describe, expect, it } from 'vitest'
import { greyDeviation, greyDeviationScales, greyLevelScales, greyLevels } from '../../src/plots/greyScale.ts'
import { patchesOf } from '../support/patchesOf.ts'
import { elements, rounding } from '../support/svg.ts'

const size = { width: 520, height: 340 }
const patches = patchesOf([
  {
    name: 'light',
    role: 'neutral',
    source: [0.9, 0.8, 0.7],
    matched: [0.8, 0.81, 0.8],
    target: [0.8, 0.8, 0.8],
  },
  { name: 'colour', source: [0.5, 0.2, 0.1], matched: [0.5, 0.2, 0.1], target: [0.5, 0.2, 0.1] },
  {
    name: 'dark',
    role: 'neutral',
    source: [0.3, 0.2, 0.1],
    matched: [0.2, 0.2, 0.2],
    target: [0.2, 0.2, 0.2],
  },
])
const steps = patches.filter((p) => p.neutral)

describe('greyScale', () => {
  it('puts each channel of each neutral at its target level and its own, colours left out', () => {
    const { x, y } = greyLevelScales(steps, size)
    const marks = elements(greyLevels(patches, size, 'test'), 'use')
    expect(marks).toHaveLength(2 * 3 * 2)
    const at = (patch: number, channel: string, n: number) =>
      marks.filter((mark) => mark['data-p'] === String(patch) && mark.href === `#mark-${channel}`)[n]!
    // First as shot, then matched.
    expect(Math.abs(Number(at(0, 'r', 0).y) - y(0.9))).toBeLessThan(rounding)
    expect(Math.abs(Number(at(0, 'b', 0).y) - y(0.7))).toBeLessThan(rounding)
    expect(Math.abs(Number(at(0, 'g', 1).y) - y(0.81))).toBeLessThan(rounding)
    expect(Math.abs(Number(at(2, 'r', 1).y) - y(0.2))).toBeLessThan(rounding)
    for (const channel of ['r', 'g', 'b'])
      expect(Math.abs(Number(at(0, channel, 0).x) - x(0.8))).toBeLessThan(rounding)
  })

  it('puts deviation about zero: +10 % red, −10 % blue as shot, +1 % green left after the match', () => {
    const { y } = greyDeviationScales(steps, size)
    const marks = elements(greyDeviation(patches, size, 'test'), 'use').filter(
      (mark) => mark['data-p'] === '0',
    )
    const levels = marks.map((mark) => Number(mark.y))
    for (const [i, deviation] of [0.1, 0, -0.1, 0, 0.01, 0].entries()) {
      expect(Math.abs(levels[i]! - y(deviation))).toBeLessThan(rounding)
    }
    expect(y(0.1)).toBeLessThan(y(0))
  })
})
