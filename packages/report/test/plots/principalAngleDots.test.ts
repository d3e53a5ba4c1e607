import { describe, expect, it } from 'vitest'
import { anglesScale, principalAngleDots } from '../../src/plots/responses/principalAngleDots.ts'
import { elements, rounding } from '../support/svg.ts'

describe('principalAngleDots', () => {
  const rows = [
    { name: 'a – b', angles: [1, 2, 8] },
    { name: 'a – c', angles: [0.25, 0.5, 3] },
  ]
  const x = anglesScale(rows, 520)
  const dots = elements(principalAngleDots(rows, 520, 'test'), 'circle')

  it('stands each angle on its pair’s line, the largest full', () => {
    expect(dots.map((dot) => dot.class)).toEqual([
      'angle a1',
      'angle a2',
      'angle a3',
      'angle a1',
      'angle a2',
      'angle a3',
    ])
    for (const [i, angle] of [1, 2, 8, 0.25, 0.5, 3].entries())
      expect(Math.abs(Number(dots[i]!.cx) - x(angle))).toBeLessThan(rounding)
    expect(new Set(dots.map((dot) => dot.cy)).size).toBe(2)
  })

  it('keeps angles of noise alone small', () => {
    expect(
      anglesScale([{ name: 'a – b', angles: [0.01, 0.02, 0.05] }], 520).domain()[1],
    ).toBeGreaterThanOrEqual(5)
  })
})
