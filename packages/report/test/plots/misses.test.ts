import { ycbcrOfCode } from '@isochip/core'
import { describe, expect, it } from 'vitest'
import { misses, missesScales, missFactor } from '../../src/plots/camera/misses.ts'
import { patchesOf } from '../support/patchesOf.ts'
import { rounding, withClass } from '../support/svg.ts'

const target = [0.6, 0.4, 0.3] as const
const off = [0.61, 0.4, 0.3] as const
const patches = patchesOf([{ name: 'one', source: [0.5, 0.5, 0.5], matched: off, target }])

describe('misses', () => {
  it('starts at the target and runs the miss, so many times as long, to the side where it lies', () => {
    const { x, y } = missesScales(patches, 440)
    const factor = missFactor(patches)
    const from = ycbcrOfCode(target)
    const to = ycbcrOfCode(off)
    const [stroke] = withClass(misses(patches, 440, 'test'), 'path', 'miss')
    const [x0, y0, x1, y1] = stroke!.d!.match(/-?[\d.]+/g)!.map(Number) as [number, number, number, number]
    expect(Math.abs(x0 - x(from.cb))).toBeLessThan(rounding)
    expect(Math.abs(y0 - y(from.cr))).toBeLessThan(rounding)
    expect(Math.abs(x1 - x(from.cb + factor * (to.cb - from.cb)))).toBeLessThan(rounding)
    expect(Math.abs(y1 - y(from.cr + factor * (to.cr - from.cr)))).toBeLessThan(rounding)
    // More red is up.
    expect(y1).toBeLessThan(y0)
    expect(factor).toBeGreaterThan(1)
  })

  it('draws large misses to scale, so that none leaves the picture', () => {
    const far = patchesOf([{ name: 'one', source: [0.5, 0.5, 0.5], matched: [0.1, 0.9, 0.1], target }])
    expect(missFactor(far)).toBe(1)
  })
})
