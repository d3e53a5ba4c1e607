import {
  apply3,
  deltaE76,
  deltaEItp,
  type Lab65,
  labFromXyz65,
  resolvePrimaries,
  rgbToXyz,
  type Vec3,
  xyzFromLab,
  xyzFromXy,
} from '@isochip/core'
import { convertXyz65ToLab65, differenceItp } from 'culori'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'

const level = (min: number, max: number) => fc.integer({ min, max }).map((n) => n / 1000)
const xyz: fc.Arbitrary<Vec3> = fc.tuple(level(0, 1200), level(0, 1200), level(0, 1200))

describe('CIELAB', () => {
  it('agrees with culori (4.0.2) on XYZ relative to D65', () => {
    fc.assert(
      fc.property(xyz, ([x, y, z]) => {
        const theirs = convertXyz65ToLab65({ x, y, z })
        const ours = labFromXyz65([x, y, z])
        for (const [i, key] of (['l', 'a', 'b'] as const).entries())
          expect(ours[i]).toBeCloseTo(theirs[key], 9)
      }),
      { numRuns: 500, endOnFailure: true },
    )
  })

  // CIE 15:2018, section 8.2.1: L* = 116 (Y/Yn)^(1/3) − 16. An 18.42 % grey is the middle of the scale, L* 50, and
  // below (6/29)³ the scale is straight with 903.3 (29³/27) times Y.
  it('has L* 50 at 18.42 % and 903.3 times the light in the deep', () => {
    const [x, y, z] = xyzFromXy([0.3127, 0.329])
    const grey = (Y: number) => labFromXyz65([x * Y, y * Y, z * Y])
    expect(grey(0.18418651851244416)[0]).toBeCloseTo(50, 10)
    expect(grey(0.001)[0]).toBeCloseTo(0.9033, 4)
    for (const c of [1, 2] as const) expect(grey(0.3)[c]).toBeCloseTo(0, 12)
  })

  it('comes back through its inverse for any white', () => {
    fc.assert(
      fc.property(xyz, (colour) => {
        const white = xyzFromXy([0.3127, 0.329])
        for (const [i, value] of xyzFromLab(labFromXyz65(colour), white).entries()) {
          expect(value).toBeCloseTo(colour[i]!, 12)
        }
      }),
      { endOnFailure: true },
    )
  })
})

describe('ΔE*ab 1976', () => {
  // CIE 15:2018, section 8.2.1.1: the Euclidean distance. 3-4-12-13 is a right box.
  it('is the distance in CIELAB', () => {
    expect(deltaE76([50, 10, -20], [53, 14, -8])).toBe(13)
    expect(deltaE76([50, 10, -20], [50, 10, -20])).toBe(0)
  })

  it('has no preferred direction', () => {
    const lab = fc.tuple(level(0, 100_000), level(-100_000, 100_000), level(-100_000, 100_000))
    fc.assert(
      fc.property(lab, lab, lab, (one: Lab65, two: Lab65, three: Lab65) => {
        expect(deltaE76(one, two)).toBe(deltaE76(two, one))
        expect(deltaE76(one, three)).toBeLessThanOrEqual(deltaE76(one, two) + deltaE76(two, three) + 1e-9)
      }),
      { endOnFailure: true },
    )
  })
})

/** ICtCp of BT.2020 light by the whole-number matrices of ITU-R BT.2100-2, table 7, and the PQ of table 4. */
function ictcp([r, g, b]: Vec3): Vec3 {
  const pq = (light: number) => {
    const y = ((203 * light) / 10000) ** 0.1593017578125
    return ((0.8359375 + 18.8515625 * y) / (1 + 18.6875 * y)) ** 78.84375
  }
  const L = pq((1688 * r + 2146 * g + 262 * b) / 4096)
  const M = pq((683 * r + 2951 * g + 462 * b) / 4096)
  const S = pq((99 * r + 309 * g + 3688 * b) / 4096)
  return [(L + M) / 2, (6610 * L - 13613 * M + 7003 * S) / 4096, (17933 * L - 17390 * M - 543 * S) / 4096]
}

describe('ΔE ITP', () => {
  const colour: fc.Arbitrary<Vec3> = fc.tuple(level(20, 1000), level(20, 1000), level(20, 1000))
  const bt2020 = rgbToXyz(resolvePrimaries('bt2020'))

  // ITU-R BT.2124-0, annex 1: 720 · √(ΔI² + ΔT² + ΔP²) with T = C_T / 2.
  it('is the printed formula on the printed matrices', () => {
    fc.assert(
      fc.property(colour, colour, (one, two) => {
        const [a, b] = [ictcp(one), ictcp(two)]
        const printed = 720 * Math.hypot(a[0] - b[0], (a[1] - b[1]) / 2, a[2] - b[2])
        expect(deltaEItp(apply3(bt2020, one), apply3(bt2020, two))).toBeCloseTo(printed, 6)
      }),
      { numRuns: 500, endOnFailure: true },
    )
  })

  it('agrees with the difference of culori (4.0.2)', () => {
    const difference = differenceItp()
    const xyz65 = ([x, y, z]: Vec3) => ({ mode: 'xyz65' as const, x, y, z })
    fc.assert(
      fc.property(colour, colour, (one, two) => {
        expect(deltaEItp(one, two)).toBeCloseTo(difference(xyz65(one), xyz65(two)), 9)
      }),
      { endOnFailure: true },
    )
  })

  // BT.2124-0, annex 1: the factor 720 is chosen so that 1 is a just noticeable difference; for greys I is the PQ
  // signal alone, so a step of one 10-bit full-range code is 720 / 1023 = 0.70.
  it('is 720 times the step in PQ on the grey axis', () => {
    const white = xyzFromXy([0.3127, 0.329])
    const grey = (light: number): Vec3 => [light * white[0], light * white[1], light * white[2]]
    // 100 and 203 cd/m²: PQ 0.508078 (from memory) and 0.580689 (58 % of BT.2408).
    expect(deltaEItp(grey(1), grey(100 / 203)) / 720).toBeCloseTo(0.0726, 3)
  })
})
