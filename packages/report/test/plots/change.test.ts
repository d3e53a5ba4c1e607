import { describe, expect, it } from 'vitest'
import { change, changeScale } from '../../src/plots/show/change.ts'
import { elements, rounding } from '../support/svg.ts'

const summary = (mean: number, max: number) => ({ mean, p95: max, max, worst: 'red' })

describe('change', () => {
  it('runs from the open circle as shot to the filled one matched, mean above worst, limits at the tolerance', () => {
    const x = changeScale(16)
    const picture = change(summary(4, 16), summary(1, 2), { mean: 1, max: 3 }, 16, 'test')
    const circles = elements(picture, 'circle').map((e) => [e.class, Number(e.cx), Number(e.cy)] as const)
    for (const [i, [kind, value]] of (
      [
        ['as', 4],
        ['mt', 1],
        ['as', 16],
        ['mt', 2],
      ] as const
    ).entries()) {
      expect(circles[i]![0]).toBe(kind)
      expect(Math.abs(circles[i]![1] - x(value))).toBeLessThan(rounding)
    }
    expect(circles[0]![2]).toBeLessThan(circles[2]![2])
    expect(picture.text).toContain(`class="limit" d="M${Math.round(x(3) * 10) / 10} `)
  })
})
