import { describe, expect, it } from 'vitest'
import { type Light, type LightName, lightNames, lightPower, wavelength, xyzOf } from '../src/index.ts'

const xyOf = (name: Light) => {
  const [x, y, z] = xyzOf(lightPower(name))
  return [x / (x + y + z), y / (x + y + z)] as const
}

describe('lights', () => {
  // Chromaticities for the 2° observer as CIE 015:2018 prints them. A, C, D50, D65 to five digits; the lamps to four,
  // from memory.
  const published: Record<LightName, readonly [number, number]> = {
    A: [0.44758, 0.40745],
    C: [0.31006, 0.31616],
    D50: [0.34567, 0.35851],
    D65: [0.31272, 0.32903],
    FL2: [0.3721, 0.3751],
    FL11: [0.3805, 0.3769],
    'LED-B3': [0.3756, 0.3723],
    'LED-V1': [0.4548, 0.4044],
  }

  it.each(lightNames)('%s has its published white', (name) => {
    const [x, y] = xyOf(name)
    // Half a unit of the last printed digit, and 5 nm instead of 1 nm steps.
    const tolerance = published[name][0].toString().length > 6 ? 1.5e-5 : 7e-5
    expect(Math.abs(x - published[name][0])).toBeLessThan(tolerance)
    expect(Math.abs(y - published[name][1])).toBeLessThan(tolerance)
  })

  it('A follows its formula (ISO/CIE 11664-2)', () => {
    const power = lightPower('A')
    const formula = (nm: number) =>
      (100 * (560 / nm) ** 5 * Math.expm1(1.435e7 / (2848 * 560))) / Math.expm1(1.435e7 / (2848 * nm))
    power.forEach((value, i) => {
      expect(Math.abs(value / formula(wavelength(i)) - 1)).toBeLessThan(1e-5)
    })
  })

  it('a black body of 2855.5 K is A (c2 of the formula above over c2 of CODATA), scaled to 1 at 560 nm', () => {
    const body = lightPower({ kelvin: (2848 * 1.438776877e-2) / 1.435e-2 })
    lightPower('A').forEach((value, i) => {
      expect(Math.abs(body[i]! - value / 100)).toBeLessThan(2e-5)
    })
  })

  // Wyszecki & Stiles, Color Science, table of Planckian chromaticities (from memory).
  it('a black body of 6500 K stands at x 0.3135, y 0.3237', () => {
    const [x, y] = xyOf({ kelvin: 6500 })
    expect(x).toBeCloseTo(0.3135, 3)
    expect(y).toBeCloseTo(0.3237, 3)
  })

  // C. S. McCamy, Correlated color temperature as an explicit function of chromaticity coordinates, Color Res. Appl. 17
  // (1992) 142–144, with its correction 18 (1993) 150, from memory: within a few kelvin near the locus.
  const mccamy = ([x, y]: readonly [number, number]) => {
    const n = (x - 0.332) / (0.1858 - y)
    return 449 * n ** 3 + 3525 * n ** 2 + 6823.3 * n + 5520.33
  }

  it.each([6204, 6804])('D65 behind a conversion filter for %i K', (kelvin) => {
    expect(Math.abs(mccamy(xyOf('D65')) - 6504)).toBeLessThan(5)
    const filtered = xyOf({ kelvin, from: { illuminant: 'D65', kelvin: 6504 } })
    // The ratio of two black bodies is exact for black bodies; D65 is none, and lies beside their locus.
    expect(Math.abs(mccamy(filtered) - kelvin)).toBeLessThan(20)
  })

  it('A behind a conversion filter is the black body of the new temperature', () => {
    const filtered = lightPower({ kelvin: 3200, from: { illuminant: 'A', kelvin: 2855.5 } })
    const body = lightPower({ kelvin: 3200 })
    filtered.forEach((value, i) => {
      expect(Math.abs(value / 100 / body[i]! - 1)).toBeLessThan(1e-4)
    })
  })
})
