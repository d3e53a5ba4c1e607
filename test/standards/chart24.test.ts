import { readFileSync } from 'node:fs'
import {
  adaptation,
  apply3,
  builtinChart,
  deltaE00,
  illuminantWhites,
  isNeutral,
  labFromXyz65,
  type Vec3,
} from '@isochip/core'
import { lightPower, patchReflectances, xyzOf } from '@isochip/synthetic'
import { describe, expect, it } from 'vitest'
import { readTable } from '../support/readTable.ts'

// C. S. McCamy, H. Marcus, J. G. Davidson, A color-rendition chart, J. Appl. Photogr. Eng. 2 (1976): x, y, Y (0…1),
// illuminant C, 2° observer.
const published = readTable(new URL('./data/chart24-mccamy-1976-xyY-illuminant-C.csv', import.meta.url)) as {
  name: string
  x: number
  y: number
  Y: number
}[]

// ISO 17321-1:2012 (the same as N. Ohta 1997): reflectances, 380…730 nm by 10 nm.
const [header, ...rows] = readFileSync(
  new URL('./data/chart24-reflectance-iso17321-1.csv', import.meta.url),
  'utf8',
)
  .trim()
  .split('\n')
  .map((line) => line.split(','))

const chart = builtinChart('chart24')
const toD65 = adaptation(illuminantWhites.C, illuminantWhites.D65, 'bradford')
const lab = (xyz: Vec3) => labFromXyz65(apply3(toD65, xyz))

describe('24-patch reference values', () => {
  it('are four rows of six, for illuminant C and the 2° observer', () => {
    expect([chart.rows, chart.columns, chart.patches.length, published.length]).toEqual([4, 6, 24, 24])
    expect(chart.reference).toMatchObject({ space: 'xyY', illuminant: 'C', observer: 2 })
  })

  for (const [i, row] of published.entries()) {
    it(`${row.name}: as published in 1976`, () => {
      const patch = chart.patches[i]!
      expect(row.name.startsWith(patch.name)).toBe(true)
      expect(patch.value).toEqual([row.x, row.y, row.Y])
    })
  }

  it('the greys are the densities that their names print', () => {
    // The names give optical densities, two decimals: Y = 10^−D. Half a unit of the last one is 1.2 % of the light.
    for (const row of published.slice(18)) {
      const density = Number(/\(([\d.]+) D\)/.exec(row.name)![1])
      expect(Math.abs(-Math.log10(row.Y) - density), row.name).toBeLessThan(0.006)
    }
  })

  it('the last row are the neutrals, from white to black', () => {
    expect(chart.patches.map(isNeutral)).toEqual(Array.from({ length: 24 }, (_, i) => i >= 18))
    expect([chart.patches[18]!.role, chart.patches[23]!.role]).toEqual(['white', 'black'])
  })
})

describe('24-patch reflectances', () => {
  it('are the table of ISO 17321-1', () => {
    const reflectances = patchReflectances(chart)
    expect(header!.slice(1)).toHaveLength(24)
    for (const row of rows) {
      const at = (Number(row[0]) - 380) / 5
      expect(row.slice(1).map(Number)).toEqual(reflectances.map((reflectance) => reflectance[at]))
    }
  })

  // Two specimens, 1976 and the 1990s, through CIE tables by 5 nm: what differs is the paint. The largest differences
  // are of the white, which became yellower, and of saturated patches.
  it('under illuminant C are the published colours: ΔE00 below 3 each, below 1 in the mean', () => {
    const power = lightPower('C')
    const differences = patchReflectances(chart).map((reflectance, i) => {
      const { x, y, Y } = published[i]!
      return deltaE00(lab(xyzOf(power, reflectance)), lab([(x * Y) / y, Y, ((1 - x - y) * Y) / y]))
    })
    for (const [i, difference] of differences.entries()) {
      expect(difference, published[i]!.name).toBeLessThan(published[i]!.name.startsWith('white') ? 3 : 2)
    }
    expect(differences.reduce((sum, difference) => sum + difference, 0) / 24).toBeLessThan(1)
  })
})
