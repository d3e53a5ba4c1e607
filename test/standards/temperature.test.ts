import { illuminantWhites, type Xy } from '@isochip/core'
import { lightPower, xyzOf } from '@isochip/synthetic'
import { describe, expect, it } from 'vitest'
import { temperatureOf } from '../../packages/core/src/colour/temperature.ts'

const kelvin = (xy: Xy) => 1e6 / temperatureOf(xy).mired

describe('correlated colour temperature', () => {
  // CIE 015:2018: nominal correlated colour temperatures of the illuminants (c2 = 1.4388e-2 m·K): A 2856 K, D50 5003 K,
  // D55 5503 K, D65 6504 K, D75 7504 K; C 6774 K from memory. A camera's balance is set in steps of
  // several mired: 0.3 is below anything that shows.
  it.each([
    ['A', 2856],
    ['D50', 5003],
    ['D55', 5503],
    ['C', 6774],
    ['D65', 6504],
    ['D75', 7504],
  ] as const)('%s has %d K', (name, expected) => {
    expect(Math.abs(temperatureOf(illuminantWhites[name]).mired - 1e6 / expected)).toBeLessThan(0.3)
  })

  it('of a black body is its own temperature, and it lies on the locus', () => {
    // Planck's law through the CIE 1931 observer; Krystek 1985 approximates it. 2e-4 is a thirtieth of the ±0.006 that
    // ANSI C78.377 allows a lamp across the locus.
    for (const temperature of [1800, 2400, 3200, 4300, 5600, 7000, 10000]) {
      const [X, Y, Z] = xyzOf(lightPower({ kelvin: temperature }))
      const { mired, duv } = temperatureOf([X / (X + Y + Z), Y / (X + Y + Z)])
      expect(Math.abs(mired - 1e6 / temperature)).toBeLessThan(0.4)
      expect(Math.abs(duv)).toBeLessThan(2e-4)
    }
  })

  it('daylight lies above the locus, greenish: 0.003 in u, v', () => {
    // D50, D65: Duv about 0.0032 (ANSI C78.377 gives 0.003 for daylight), from memory.
    expect(temperatureOf(illuminantWhites.D50).duv).toBeCloseTo(0.0032, 3)
    expect(temperatureOf(illuminantWhites.D65).duv).toBeCloseTo(0.0032, 3)
    expect(Math.abs(temperatureOf(illuminantWhites.A).duv)).toBeLessThan(2e-4)
  })

  it('falls as the light gets bluer', () => {
    const series = (['A', 'D50', 'D55', 'D65', 'D75'] as const).map((name) => kelvin(illuminantWhites[name]))
    expect(series).toEqual(series.toSorted((a, b) => a - b))
  })
})
