import { ciede2000Jet, deltaE00, jetSize, type Lab65, labFromXyz65 } from '@isochip/core'
import { differenceCiede2000 } from 'culori'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { readTable } from '../support/readTable.ts'

// G. Sharma, W. Wu, E. Dalal, The CIEDE2000 color-difference formula, Color Res. Appl. 30 (2005), table 1.
const pairs = readTable(new URL('./data/ciede2000-sharma-2005.csv', import.meta.url))

// The table is printed to four decimals.
const printed = 0.00005

const jet = new Float64Array(jetSize)

function residuals(sample: Lab65, reference: Lab65): Float64Array {
  const out = new Float64Array(3)
  ciede2000Jet(...sample, ...reference, out, 0, jet)
  return out
}

describe('CIEDE2000', () => {
  it('has the 34 published pairs', () => expect(pairs).toHaveLength(34))

  for (const [i, pair] of pairs.entries()) {
    const { L1, a1, b1, L2, a2, b2, dE00 } = pair as Record<string, number>
    it(`pair ${i + 1} of the published table, both ways round`, () => {
      expect(Math.abs(deltaE00([L1!, a1!, b1!], [L2!, a2!, b2!]) - dE00!)).toBeLessThanOrEqual(printed)
      expect(Math.abs(deltaE00([L2!, a2!, b2!], [L1!, a1!, b1!]) - dE00!)).toBeLessThanOrEqual(printed)
    })
  }

  // Hundredths: what a colour is ever given to, and none so near the neutral axis that the formula's own square root
  // there makes two roundings differ.
  const hundredths = (low: number, high: number) =>
    fc.integer({ min: low * 100, max: high * 100 }).map((n) => n / 100)
  const lab = fc.tuple(hundredths(0, 100), hundredths(-120, 120), hundredths(-120, 120))

  /** Opposed hues (180° apart) fall to either side by rounding; the formula jumps there. */
  const opposed = (one: Lab65, two: Lab65) =>
    Math.abs(Math.atan2(one[1] * two[2] - one[2] * two[1], one[1] * two[1] + one[2] * two[2])) >
    Math.PI - 1e-3

  it('agrees with culori (4.0.2) on Lab D65', () => {
    const oracle = differenceCiede2000()
    const colour = ([l, a, b]: Lab65) => ({ mode: 'lab65' as const, l, a, b })
    fc.assert(
      fc.property(lab, lab, (one, two) => {
        fc.pre(!opposed(one, two))
        expect(deltaE00(one, two)).toBeCloseTo(oracle(colour(one), colour(two)), 7)
      }),
      { numRuns: 2000, endOnFailure: true },
    )
  })

  it('is the norm of the residuals that a fit minimises', () => {
    fc.assert(
      fc.property(lab, lab, (one, two) => {
        fc.pre(!opposed(one, two))
        expect(Math.hypot(...residuals(one, two))).toBeCloseTo(deltaE00(one, two), 9)
      }),
      { numRuns: 2000, endOnFailure: true },
    )
  })

  it('is relative to D65: a D65 white has Lab 100, 0, 0, a D50 white has not', () => {
    // XYZ of the whites from their chromaticities, BT.709-6 item 1.4 and CIE 015 (x 0.3457, y 0.3585).
    expect(
      deltaE00(labFromXyz65([0.3127 / 0.329, 1, (1 - 0.3127 - 0.329) / 0.329]), [100, 0, 0]),
    ).toBeLessThan(1e-9)
    expect(
      deltaE00(labFromXyz65([0.3457 / 0.3585, 1, (1 - 0.3457 - 0.3585) / 0.3585]), [100, 0, 0]),
    ).toBeGreaterThan(10)
  })

  it('has the derivatives that differences have', () => {
    const step = 1e-5
    fc.assert(
      fc.property(lab, lab, (sample, reference) => {
        const chroma = (c: Lab65) => Math.hypot(c[1], c[2])
        const apart = Math.hypot(sample[1] - reference[1], sample[2] - reference[2])
        const turn = Math.abs(
          Math.atan2(
            sample[1] * reference[2] - sample[2] * reference[1],
            sample[1] * reference[1] + sample[2] * reference[2],
          ),
        )
        fc.pre(chroma(sample) > 1 && turn < Math.PI - 0.01 && apart > 0.01)
        residuals(sample, reference)
        const [L, r1a, r1b, r2a, r2b] = [...jet] as [number, number, number, number, number]
        const exact = [
          [L, 0, 0],
          [0, r1a, r1b],
          [0, r2a, r2b],
        ]
        for (const channel of [0, 1, 2] as const) {
          const moved = (by: number): Lab65 => {
            const copy: [number, number, number] = [...sample]
            copy[channel] += by
            return copy
          }
          const up = residuals(moved(step), reference)
          const down = residuals(moved(-step), reference)
          for (const row of [0, 1, 2]) {
            const difference = (up[row]! - down[row]!) / (2 * step)
            // Central differences at this step carry about 1e-7 of truncation and rounding near the hue pole.
            expect(Math.abs(exact[row]![channel]! - difference)).toBeLessThan(
              1e-4 * (1 + Math.abs(difference)),
            )
          }
        }
      }),
      { numRuns: 2000, endOnFailure: true },
    )
  })

  it('is smooth at a neutral reference: a small step of any hue moves the residuals as far', () => {
    for (const hue of [0, 1, 2, 3, 4, 5, 6]) {
      const r = residuals([50, 0.001 * Math.cos(hue), 0.001 * Math.sin(hue)], [50, 0, 0])
      expect(r[1]).toBeCloseTo(0.0015 * Math.cos(hue), 6)
      expect(r[2]).toBeCloseTo(0.001 * Math.sin(hue), 6)
    }
  })
})
