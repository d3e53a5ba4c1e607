import {
  apply3,
  illuminantWhites,
  type Mat3,
  multiply3,
  type PrimariesName,
  primariesConversion,
  primariesNames,
  resolvePrimaries,
  rgbToXyz,
  xyzFromXy,
  xyzToRgb,
} from '@isochip/core'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'

const of = resolvePrimaries

/** All nine cells, to half a unit of the last decimal that is printed. */
function expectPrinted(ours: Mat3, printed: Mat3, decimals: number) {
  for (const [i, row] of printed.entries()) {
    for (const [j, cell] of row.entries()) {
      expect(Math.abs(ours[i]![j]! - cell), `row ${i}, column ${j}`).toBeLessThanOrEqual(
        0.5000001 * 10 ** -decimals,
      )
    }
  }
}

/** The largest of the nine differences from the identity. */
function offIdentity(m: Mat3): number {
  return Math.max(...m.flatMap((row, i) => row.map((cell, j) => Math.abs(cell - (i === j ? 1 : 0)))))
}

describe('RGB to XYZ as printed', () => {
  // SMPTE RP 177-1993, annex B: the normalised primary matrix of BT.709 primaries with D65 (values from memory).
  it('BT.709, SMPTE RP 177', () =>
    expectPrinted(
      rgbToXyz(of('bt709')),
      [
        [0.4123907993, 0.3575843394, 0.1804807884],
        [0.2126390059, 0.7151686788, 0.0721923154],
        [0.0193308187, 0.1191947798, 0.9505321522],
      ],
      10,
    ))

  // IEC 61966-2-1:1999, equation 7: four decimals.
  it('BT.709, IEC 61966-2-1', () =>
    expectPrinted(
      rgbToXyz(of('bt709')),
      [
        [0.4124, 0.3576, 0.1805],
        [0.2126, 0.7152, 0.0722],
        [0.0193, 0.1192, 0.9505],
      ],
      4,
    ))

  // ITU-R BT.709-6, item 3.2, and BT.2020-2, table 4: the luma coefficients are the Y row, rounded.
  it('the Y rows are the luma coefficients of BT.709 and BT.2020', () => {
    const rounded = (name: PrimariesName) => rgbToXyz(of(name))[1].map((y) => Number(y.toFixed(4)))
    expect(rounded('bt709')).toEqual([0.2126, 0.7152, 0.0722])
    expect(rounded('bt2020')).toEqual([0.2627, 0.678, 0.0593])
  })

  // ITU-R BT.2020 primaries after RP 177; six decimals, from memory.
  it('BT.2020', () =>
    expectPrinted(
      rgbToXyz(of('bt2020')),
      [
        [0.636958, 0.144617, 0.168881],
        [0.2627, 0.677998, 0.059302],
        [0, 0.028073, 1.060985],
      ],
      6,
    ))

  // SMPTE EG 432-1 / RP 431-2 primaries with D65; six decimals, from memory.
  it('P3-D65', () =>
    expectPrinted(
      rgbToXyz(of('p3-d65')),
      [
        [0.486571, 0.265668, 0.198217],
        [0.228975, 0.691739, 0.079287],
        [0, 0.045113, 1.043944],
      ],
      6,
    ))

  // Academy S-2008-001 (SMPTE ST 2065-1), from memory.
  it('ACES AP0', () =>
    expectPrinted(
      rgbToXyz(of('ap0')),
      [
        [0.9525523959, 0, 0.0000936786],
        [0.3439664498, 0.7281660966, -0.0721325464],
        [0, 0, 1.0088251844],
      ],
      10,
    ))

  // Academy S-2014-004, annex, from memory.
  it('ACES AP1', () =>
    expectPrinted(
      rgbToXyz(of('ap1')),
      [
        [0.6624541811, 0.1340042065, 0.156187687],
        [0.2722287168, 0.6740817658, 0.0536895174],
        [-0.0055746495, 0.0040607335, 1.0103391003],
      ],
      10,
    ))
})

describe('between primaries as printed', () => {
  // ITU-R BT.2087-0, annex 1, step 2.
  it('BT.709 to BT.2020', () =>
    expectPrinted(
      primariesConversion(of('bt709'), of('bt2020')),
      [
        [0.6274, 0.3293, 0.0433],
        [0.0691, 0.9195, 0.0114],
        [0.0164, 0.088, 0.8956],
      ],
      4,
    ))

  // ITU-R BT.2407-0, annex 2 (the inverse of BT.2087), from memory.
  it('BT.2020 to BT.709', () =>
    expectPrinted(
      primariesConversion(of('bt2020'), of('bt709')),
      [
        [1.6605, -0.5876, -0.0728],
        [-0.1246, 1.1329, -0.0083],
        [-0.0182, -0.1006, 1.1187],
      ],
      4,
    ))

  // Academy S-2014-004: TRA_1 and its inverse, from memory.
  it('AP0 to AP1', () =>
    expectPrinted(
      primariesConversion(of('ap0'), of('ap1')),
      [
        [1.4514393161, -0.2365107469, -0.2149285693],
        [-0.0765537734, 1.1762296998, -0.0996759264],
        [0.0083161484, -0.0060324498, 0.9977163014],
      ],
      10,
    ))

  it('AP1 to AP0', () =>
    expectPrinted(
      primariesConversion(of('ap1'), of('ap0')),
      [
        [0.6954522414, 0.1406786965, 0.1638690622],
        [0.0447945634, 0.8596711185, 0.0955343182],
        [-0.0055258826, 0.0040252103, 1.0015006723],
      ],
      10,
    ))
})

describe('identities', () => {
  // Eighteen multiplications and an inverse: a few hundred units of rounding, no more.
  const rounding = 1e-13

  it.each(primariesNames)('%s: there and back is the identity in all nine cells', (name) => {
    expect(offIdentity(multiply3(xyzToRgb(of(name)), rgbToXyz(of(name))))).toBeLessThan(rounding)
    expect(offIdentity(multiply3(rgbToXyz(of(name)), xyzToRgb(of(name))))).toBeLessThan(rounding)
  })

  it.each(primariesNames)('%s: primaries and white have their chromaticities, white has Y = 1', (name) => {
    const { red, green, blue, white } = of(name)
    const m = rgbToXyz(of(name))
    for (const [rgb, xy] of [
      [[1, 0, 0], red],
      [[0, 1, 0], green],
      [[0, 0, 1], blue],
      [[1, 1, 1], white],
    ] as const) {
      const [X, Y, Z] = apply3(m, rgb)
      expect(X / (X + Y + Z)).toBeCloseTo(xy[0], 12)
      expect(Y / (X + Y + Z)).toBeCloseTo(xy[1], 12)
    }
    expect(apply3(m, [1, 1, 1])[1]).toBeCloseTo(1, 12)
  })

  it.each(primariesNames.flatMap((from) => primariesNames.map((to) => [from, to] as const)))(
    '%s to %s keeps white and comes back in all nine cells',
    (from, to) => {
      const there = primariesConversion(of(from), of(to))
      const back = primariesConversion(of(to), of(from))
      expect(offIdentity(multiply3(there, back))).toBeLessThan(rounding)
      for (const value of apply3(there, [1, 1, 1])) expect(Math.abs(value - 1)).toBeLessThan(rounding)
    },
  )

  it('any triangle around a white gives a matrix that keeps it', () => {
    const near = (x: number, y: number) =>
      fc
        .tuple(fc.integer({ min: -40, max: 40 }), fc.integer({ min: -40, max: 40 }))
        .map(([dx, dy]) => [x + dx / 1000, y + dy / 1000] as const)
    fc.assert(
      fc.property(
        near(0.65, 0.32),
        near(0.25, 0.65),
        near(0.15, 0.1),
        near(0.32, 0.34),
        (red, green, blue, white) => {
          const primaries = { red, green, blue, white }
          const m = rgbToXyz(primaries)
          const expected = xyzFromXy(white)
          for (const [i, value] of apply3(m, [1, 1, 1]).entries()) expect(value).toBeCloseTo(expected[i]!, 10)
          expect(offIdentity(multiply3(m, xyzToRgb(primaries)))).toBeLessThan(1e-10)
        },
      ),
      { numRuns: 200, endOnFailure: true },
    )
  })

  it('the ACES white is its own, not D60 of the daylight formula', () => {
    // Academy S-2008-001, from memory: x 0.32168, y 0.33767.
    expect(of('ap0').white).toEqual([0.32168, 0.33767])
    expect(of('ap1').white).toBe(illuminantWhites.D60)
  })
})
