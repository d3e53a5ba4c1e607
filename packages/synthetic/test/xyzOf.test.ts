import {
  adaptation,
  apply3,
  builtinChart,
  deltaE00,
  illuminantWhites,
  labFromXyz65,
  type Vec3,
} from '@isochip/core'
import { describe, expect, it } from 'vitest'
import { cie1931 } from '../src/data/cie1931.ts'
import { lightPower, patchLight, xyzOf } from '../src/index.ts'

describe('xyzOf', () => {
  // CIE 015:2018: the functions are scaled so that an equal-energy spectrum has X = Y = Z; their integral is 106.857,
  // and the efficiency function peaks with 1 at 555 nm.
  it.each(['x', 'y', 'z'] as const)('the integral of the %s function is 106.857', (name) => {
    const integral = cie1931[name].reduce((sum, value) => sum + value * 5, 0)
    expect(Math.abs(integral - 106.857)).toBeLessThan(0.01)
  })

  it('the luminous efficiency peaks with 1 at 555 nm', () => {
    expect(cie1931.y[(555 - 380) / 5]).toBe(1)
    expect(Math.max(...cie1931.y)).toBe(1)
  })

  it('a perfect diffuser has Y = 1, and a grey one its reflectance', () => {
    const power = lightPower('FL11')
    const white = xyzOf(power)
    expect(white[1]).toBeCloseTo(1, 12)
    const grey = xyzOf(power, new Float64Array(81).fill(0.18))
    grey.forEach((value, i) => {
      expect(value).toBeCloseTo(0.18 * white[i]!, 12)
    })
  })

  // Two sources for one chart: reflectances of ISO 17321-1, and xyY under C of McCamy, Marcus, Davidson 1976. They are
  // of different specimens: patches agree within ΔE00 2, the white (which the newer specimens have yellower) within 3;
  // the mean of the 24 is 0.9.
  it('the 24 reflectances under C are the colours published in 1976', () => {
    const chart = builtinChart('chart24')
    const toD65 = adaptation(illuminantWhites.C, illuminantWhites.D65, 'bradford')
    const lab = (xyz: Vec3) => labFromXyz65(apply3(toD65, xyz))
    const differences = patchLight({ chart, device: 'observer', light: 'C' }).map(({ patch, light }, i) => {
      const [x, y, Y] = chart.patches[i]!.value!
      const dE = deltaE00(lab(light), lab([(x * Y) / y, Y, ((1 - x - y) * Y) / y]))
      expect(dE, patch).toBeLessThan(patch === 'white 9.5' ? 3 : 2)
      return dE
    })
    expect(differences.reduce((sum, dE) => sum + dE, 0) / 24).toBeLessThan(1)
  })
})
