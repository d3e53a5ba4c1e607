import { builtinChart } from '@isochip/core'
import { describe, expect, it } from 'vitest'
import { lightPower, patchReflectances, smoothReflectance, xyzOf } from '../src/index.ts'

const power = lightPower('D65')

describe('smoothReflectance', () => {
  it('has the XYZ that was asked for, between 0 and 1 (all 48 patches of quay48)', () => {
    const chart = builtinChart('quay48')
    patchReflectances(chart).forEach((reflectance, i) => {
      const { name, value } = chart.patches[i]!
      xyzOf(power, reflectance).forEach((channel, c) => {
        expect(Math.abs(channel - value![c]!), name).toBeLessThan(1e-9)
      })
      expect(Math.min(...reflectance)).toBeGreaterThan(0)
      expect(Math.max(...reflectance)).toBeLessThan(1)
    })
  })

  it('of a neutral is flat: nothing is smoother', () => {
    const white = xyzOf(power)
    const flat = smoothReflectance([white[0] * 0.5, 0.5, white[2] * 0.5], power)
    for (const value of flat) expect(value).toBeCloseTo(0.5, 10)
  })

  // Burns 2020: reached for every colour within the object-colour solid; sRGB red is one of the hard ones.
  it('reaches the red primary of IEC 61966-2-1', () => {
    const red = smoothReflectance([0.4124, 0.2126, 0.0193], power)
    expect(xyzOf(power, red)[0]).toBeCloseTo(0.4124, 10)
    expect(red[70]!).toBeGreaterThan(0.9)
    expect(red[30]!).toBeLessThan(0.05)
  })

  it('says that a colour outside the object-colour solid has none', () => {
    expect(() => smoothReflectance([0.1, 0.9, 0.1], power)).toThrow('no reflectance')
  })
})
