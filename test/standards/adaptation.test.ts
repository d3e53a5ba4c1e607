import {
  adaptation,
  apply3,
  type Cat,
  illuminantWhites,
  type Mat3,
  multiply3,
  type Vec3,
  type Xy,
  xyzFromXy,
} from '@isochip/core'
import { convertXyz50ToXyz65, convertXyz65ToXyz50 } from 'culori'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'

const d65: Xy = [0.3127, 0.329]
/** D50 to the four digits of ICC.1 and of the web's colour standards. */
const d50: Xy = [0.3457, 0.3585]

function expectCells(ours: Mat3, theirs: Mat3, tolerance: number) {
  for (const [i, row] of theirs.entries()) {
    for (const [j, cell] of row.entries()) {
      expect(Math.abs(ours[i]![j]! - cell), `row ${i}, column ${j}`).toBeLessThan(tolerance)
    }
  }
}

describe('Bradford', () => {
  // W3C, CSS Color Module Level 4, sample code: from D65 to D50, with the same two chromaticities (from memory).
  it('D65 to D50 is the matrix of the web’s colour standard', () =>
    expectCells(
      adaptation(d65, d50, 'bradford'),
      [
        [1.0479297925449969, 0.022946870601609652, -0.05019226628920524],
        [0.02962780877005599, 0.9904344267538799, -0.017073799063418826],
        [-0.009243040646204504, 0.015055191490298152, 0.7518742814281371],
      ],
      1e-12,
    ))

  // ICC.1:2022, annex E; the chad tag of an sRGB profile, four decimals (from memory). ICC takes X 0.9642, Z 0.8249 for
  // D50, which moves a cell by up to two units of the last decimal.
  it('D65 to D50 is the chad of an sRGB profile', () =>
    expectCells(
      adaptation(d65, d50, 'bradford'),
      [
        [1.0479, 0.0229, -0.0502],
        [0.0296, 0.9904, -0.0171],
        [-0.0092, 0.0151, 0.7519],
      ],
      2e-4,
    ))

  it('agrees with culori (4.0.2) on colours, both ways', () => {
    const level = fc.integer({ min: 0, max: 1200 }).map((n) => n / 1000)
    fc.assert(
      fc.property(level, level, level, (x, y, z) => {
        const to50 = convertXyz65ToXyz50({ x, y, z })
        const to65 = convertXyz50ToXyz65({ x, y, z })
        const ours50 = apply3(adaptation(d65, d50, 'bradford'), [x, y, z])
        const ours65 = apply3(adaptation(d50, d65, 'bradford'), [x, y, z])
        for (const [i, key] of (['x', 'y', 'z'] as const).entries()) {
          // culori has the matrices of an earlier edition of the web's standard: six decimals are the same.
          expect(ours50[i]).toBeCloseTo(to50[key], 6)
          expect(ours65[i]).toBeCloseTo(to65[key], 6)
        }
      }),
      { endOnFailure: true },
    )
  })
})

describe('CAT16', () => {
  // C. Li et al., Color Res. Appl. 42 (2017): the inverse of M16 as printed there (from memory). Its columns are the
  // colours that a von Kries adaptation in this space only scales: eigenvectors of every such matrix.
  const inverse: Mat3 = [
    [1.86206786, -1.01125463, 0.14918677],
    [0.38752654, 0.62144744, -0.00897398],
    [-0.0158415, -0.03412294, 1.04996444],
  ]

  it('only scales the cone primaries printed in its paper', () => {
    const m = adaptation(illuminantWhites.A, d65, 'cat16')
    const factors = [0, 1, 2].map((k) => {
      const column: Vec3 = [inverse[0][k]!, inverse[1][k]!, inverse[2][k]!]
      const out = apply3(m, column)
      const largest = column.reduce(
        (most, value, i) => (Math.abs(value) > Math.abs(column[most]!) ? i : most),
        0,
      )
      const factor = out[largest]! / column[largest]!
      // The printed inverse has eight decimals.
      for (const [i, value] of out.entries()) expect(Math.abs(value - factor * column[i]!)).toBeLessThan(1e-7)
      return factor
    })
    // From a warm white to a cool one: less of the long waves, many more of the short ones.
    expect(factors[0]).toBeLessThan(1)
    expect(factors[2]).toBeGreaterThan(2)
  })
})

describe.each<Cat>(['cat16', 'bradford'])('%s', (cat) => {
  const whites = Object.entries(illuminantWhites)

  it('takes white to white, for all pairs of illuminants', () => {
    for (const [, from] of whites) {
      for (const [, to] of whites) {
        const out = apply3(adaptation(from, to, cat), xyzFromXy(from))
        for (const [i, value] of xyzFromXy(to).entries()) expect(out[i]).toBeCloseTo(value, 12)
      }
    }
  })

  it('by way of a third white is the same as direct, in all nine cells', () => {
    for (const [, via] of whites) {
      const direct = adaptation(illuminantWhites.A, d65, cat)
      const round = multiply3(adaptation(via, d65, cat), adaptation(illuminantWhites.A, via, cat))
      expectCells(round, direct, 1e-12)
    }
  })

  it('from a white to itself changes nothing', () => {
    expect(adaptation(d65, [...d65], cat)).toEqual([
      [1, 0, 0],
      [0, 1, 0],
      [0, 0, 1],
    ])
  })
})
