import { describe, expect, it } from 'vitest'
import { residualBars, residualScale } from '../../src/plots/camera/residualBars.ts'
import { patchesOf } from '../support/patchesOf.ts'
import { elements, patchGroup, rounding, withClass } from '../support/svg.ts'

const code = { source: [0.5, 0.4, 0.3], matched: [0.5, 0.5, 0.5], target: [0.5, 0.5, 0.5] } as const
const patches = patchesOf([
  { ...code, name: 'small', after: 0.5, leaveOneOut: 0.75, before: 2 },
  { ...code, name: 'large', after: 4, leaveOneOut: 5, before: 20 },
  { ...code, name: 'clipped', after: 9, excluded: 'clips' },
])
const tolerance = { mean: 1, max: 3 }
const x = residualScale(patches, tolerance)
const picture = residualBars(patches, tolerance, 'test')

describe('residualBars', () => {
  it('stands worst first, what was left out of the fit last', () => {
    const order = [...picture.text.matchAll(/<g data-p="(\d)"/g)].map(([, index]) => index)
    expect(order).toEqual(['1', '0', '2'])
  })

  it('ends each bar at its ΔE00, with the left-out stroke and the ring at theirs', () => {
    const [bar] = elements({ text: patchGroup(picture, 0) } as typeof picture, 'rect').filter(
      (e) => e.class === 'mt',
    )
    expect(Math.abs(x(0) + Number(bar!.width) - x(0.5))).toBeLessThan(2 * rounding)
    expect(patchGroup(picture, 0)).toContain(`class="loo" d="M${Math.round(x(0.75) * 10) / 10} `)
    expect(patchGroup(picture, 0)).toContain(`class="as" cx="${Math.round(x(2) * 10) / 10}"`)
  })

  it('marks what is beyond the tolerance, whose lines stand at its limits', () => {
    expect(patchGroup(picture, 1)).toContain('class="mt beyond"')
    expect(patchGroup(picture, 0)).not.toContain('beyond')
    const limits = withClass(picture, 'path', 'limit').map(({ d }) => Number(/^M([\d.]+)/.exec(d!)![1]))
    expect(Math.abs(limits[0]! - x(1))).toBeLessThan(rounding)
    expect(Math.abs(limits[1]! - x(3))).toBeLessThan(rounding)
  })

  it('gives a figure with an arrow for what is off the scale', () => {
    expect(patchGroup(picture, 1)).not.toContain('<circle')
    expect(patchGroup(picture, 1)).toContain('→ 20.00')
  })
})
