import { describe, expect, it } from 'vitest'
import { studentQuantile } from '../../packages/core/src/diagnose/studentQuantile.ts'

// M. Abramowitz, I. A. Stegun, Handbook of Mathematical Functions, table 26.10: t by degrees of freedom, for two-sided
// probabilities 0.90, 0.95, 0.99 and 0.999 (one-sided 0.95, 0.975, 0.995, 0.9995). Values from memory.
const table = [
  { freedom: 1, t: [6.314, 12.706, 63.657, 636.619] },
  { freedom: 2, t: [2.92, 4.303, 9.925, 31.599] },
  { freedom: 3, t: [2.353, 3.182, 5.841, 12.924] },
  { freedom: 4, t: [2.132, 2.776, 4.604, 8.61] },
  { freedom: 5, t: [2.015, 2.571, 4.032, 6.869] },
  { freedom: 10, t: [1.812, 2.228, 3.169, 4.587] },
  { freedom: 15, t: [1.753, 2.131, 2.947, 4.073] },
  { freedom: 20, t: [1.725, 2.086, 2.845, 3.85] },
  { freedom: 30, t: [1.697, 2.042, 2.75, 3.646] },
  { freedom: 60, t: [1.671, 2, 2.66, 3.46] },
  { freedom: 120, t: [1.658, 1.98, 2.617, 3.373] },
] as const

describe("Student's t", () => {
  for (const { freedom, t } of table) {
    it.each([0.95, 0.975, 0.995, 0.9995].map((probability, i) => [probability, t[i]!] as const))(
      `${freedom} degrees of freedom at %d is %d`,
      // Three decimals are printed.
      (probability, expected) =>
        expect(Math.abs(studentQuantile(probability, freedom) - expected)).toBeLessThanOrEqual(0.00051),
    )
  }

  it('comes to the normal quantile', () => {
    // Table 26.1 of the same handbook: 1.959964; t exceeds it by about (z³ + z) / 4ν (26.7.5).
    const z = 1.959964
    expect(studentQuantile(0.975, 2000)).toBeCloseTo(z + (z ** 3 + z) / 8000, 5)
  })

  it('has the closed forms of one and two degrees of freedom', () => {
    // ν = 1: tan(π(p − ½)); ν = 2: (2p − 1) / √(2p(1 − p)).
    for (const p of [0.6, 0.8, 0.9, 0.99]) {
      expect(studentQuantile(p, 1)).toBeCloseTo(Math.tan(Math.PI * (p - 0.5)), 9)
      expect(studentQuantile(p, 2)).toBeCloseTo((2 * p - 1) / Math.sqrt(2 * p * (1 - p)), 9)
    }
  })

  it('between whole degrees of freedom lies between its neighbours, and near the truth', () => {
    // scipy 1.17.1, stats.t.ppf(0.975, ν). Interpolation in 1/ν is on the wide side: by 2 % between
    // two and three degrees, less above.
    for (const [freedom, expected] of [
      [2.5, 3.574654842],
      [3.7, 2.867520707],
      [6.2, 2.427905137],
      [11.5, 2.189365894],
      [40.5, 2.020298428],
    ] as const) {
      const t = studentQuantile(0.975, freedom)
      expect(t).toBeLessThan(studentQuantile(0.975, Math.floor(freedom)))
      expect(t).toBeGreaterThan(studentQuantile(0.975, Math.ceil(freedom)))
      expect(t / expected).toBeGreaterThan(1)
      expect(t / expected).toBeLessThan(freedom < 3 ? 1.02 : 1.01)
    }
  })
})
