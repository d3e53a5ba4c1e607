import {
  builtinChart,
  chartInLight,
  type IlluminantName,
  illuminantNames,
  type NamedLight,
  type Spectrum,
  type Vec3,
} from '@isochip/core'
import { type LightName, lightPower } from '@isochip/synthetic'
import { describe, expect, it } from 'vitest'
import { illuminantPower } from '../../packages/core/src/spectra/illuminantPower.ts'
import { readTable } from '../support/readTable.ts'

const chart = builtinChart('chart24')

/** A table of CIE 015:2018 by 5 nm, as if it had been measured. */
const lamp = (name: LightName): NamedLight => ({
  name,
  power: { nm: Array.from({ length: 81 }, (_, i) => 380 + 5 * i), values: [...lightPower(name)] },
})
const whiteOf = (light: string | NamedLight, observer: 2 | 10) => chartInLight(chart, light, observer)!.white

describe('colours from spectra: whites', () => {
  // CIE 015:2018, tables T.3 and following (2°, 10°), from memory; D60 has no white there. The printed whites are
  // sums by 1 nm; ours are of tables by 5 (2°: half of 10⁻⁴) and by 10 nm to four decimals (10°: 10⁻⁴).
  it.each<[IlluminantName, number, number, number, number]>([
    ['A', 0.44758, 0.40745, 0.45117, 0.40594],
    ['C', 0.31006, 0.31616, 0.31039, 0.31905],
    ['D50', 0.34567, 0.3585, 0.34773, 0.35952],
    ['D55', 0.33243, 0.34744, 0.33412, 0.34877],
    ['D65', 0.31272, 0.32903, 0.31382, 0.331],
    ['D75', 0.29903, 0.31488, 0.29968, 0.3174],
    ['E', 1 / 3, 1 / 3, 1 / 3, 1 / 3],
  ])('illuminant %s', (name, x2, y2, x10, y10) => {
    for (const [observer, x, y, room] of [
      [2, x2, y2, 5e-5],
      [10, x10, y10, 1e-4],
    ] as const) {
      const white = whiteOf(name, observer)
      expect(Math.abs(white[0] - x)).toBeLessThan(room)
      expect(Math.abs(white[1] - y)).toBeLessThan(room)
    }
  })

  it.each([
    // Planck's law over 5 nm, and a lamp behind two liquid filters without bands (CIE 015, its note on illuminant C).
    ['A', 0.1],
    ['C', 2],
  ] as const)('illuminant %s is smooth: a slip in one figure of its table would stand out', (name, most) => {
    const { values } = illuminantPower(name)
    for (let i = 10; i < values.length - 10; i += 5) {
      const [before, at, after] = [values[i - 5]!, values[i]!, values[i + 5]!]
      expect(Math.abs(before - 2 * at + after), `${380 + i} nm`).toBeLessThan(most)
    }
  })

  // The same tables. Lines by 5 nm, and the 10° curves by 10: 10⁻³ there.
  it.each<[LightName, number, number, number, number]>([
    ['FL2', 0.37208, 0.37529, 0.37925, 0.36733],
    ['FL11', 0.38052, 0.37713, 0.38541, 0.37123],
  ])('a measured light with lines: %s', (name, x2, y2, x10, y10) => {
    const [a, b] = [whiteOf(lamp(name), 2), whiteOf(lamp(name), 10)]
    for (const [found, wanted, room] of [
      [a[0], x2, 2e-4],
      [a[1], y2, 2e-4],
      [b[0], x10, 1e-3],
      [b[1], y10, 1e-3],
    ] as const)
      expect(Math.abs(found - wanted)).toBeLessThan(room)
  })

  it('daylights are the tables that CIE 015 prints', () => {
    // The tables have three decimals, the components one: colours of patches under table and formula are alike.
    for (const name of ['D50', 'D65'] as const) {
      const [table, formula] = [lamp(name), name].map((light) => chartInLight(chart, light)!.xyz)
      for (const [patch, xyz] of table!)
        for (const [i, value] of xyz.entries())
          expect(Math.abs(value - formula!.get(patch)![i]!)).toBeLessThan(1e-5)
    }
    expect(illuminantNames.every((name) => chartInLight(chart, name) !== undefined)).toBe(true)
  })
})

describe('colours from spectra: patches', () => {
  const rows = readTable(new URL('./data/spectra/colours.csv', import.meta.url)) as {
    light: string
    patch: number
    X: number
    Y: number
    Z: number
  }[]

  // Written by data/spectra/colours.py with numpy and scipy. Two ways of interpolating the same tables: 2·10⁻⁴ of white.
  it.each(['A', 'FL11'] as const)('under %s: as an independent computation has them', (name) => {
    const own = [...chartInLight(chart, name === 'A' ? name : lamp(name))!.xyz.values()]
    const theirs = rows.filter(({ light }) => light === name)
    expect(theirs).toHaveLength(24)
    for (const [p, { X, Y, Z }] of theirs.entries())
      for (const [i, value] of ([X, Y, Z] as const).entries())
        expect(Math.abs(own[p]![i]! - value), `${chart.patches[p]!.name} ${'XYZ'[i]}`).toBeLessThan(2e-4)
  })

  it('step and range of a table do not matter where the curve is smooth', () => {
    const smooth = (step: number): Spectrum => {
      const nm = Array.from({ length: 400 / step + 1 }, (_, i) => 380 + step * i)
      return { nm, values: nm.map((at) => 0.5 + 0.4 * Math.sin(at / 60)) }
    }
    const seen = [1, 2.5, 5, 10, 20].map((step) => {
      const { nm, values } = smooth(step)
      const one = { ...chart, wavelengths: nm, patches: [{ name: 'wave', reflectance: values }] }
      return chartInLight(one, 'D65')!.xyz.get('wave')!
    })
    for (const xyz of seen.slice(1))
      for (const [i, value] of xyz.entries()) expect(Math.abs(value - seen[0]![i as 0])).toBeLessThan(1e-5)
    const unequal = {
      ...chart,
      wavelengths: [380, 400, 470, 780],
      patches: [{ name: 'flat', reflectance: [1, 1, 1, 1] }],
    }
    const white: Vec3 = chartInLight(unequal, 'C')!.xyz.get('flat')!
    expect(white[1]).toBeCloseTo(1, 12)
    expect(white[0] / (white[0] + white[1] + white[2])).toBeCloseTo(chartInLight(unequal, 'C')!.white[0], 12)
  })
})
