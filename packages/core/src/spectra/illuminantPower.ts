import { type IlluminantName, illuminantNames } from '../colour/illuminants.ts'
import { everyNanometre } from './everyNanometre.ts'
import type { Spectrum } from './spectrum.ts'

const from380 = (step: number, values: readonly number[]): Spectrum => ({
  nm: values.map((_, i) => 380 + step * i),
  values,
})

/** CIE 015:2018: illuminants A and C, 380…780 nm by 5 nm. */
const tables = (): Record<'A' | 'C', readonly number[]> => ({
  A: [
    9.7951, 10.8996, 12.0853, 13.3543, 14.708, 16.148, 17.6753, 19.2907, 20.995, 22.7883, 24.6709, 26.6425,
    28.7027, 30.8508, 33.0859, 35.4068, 37.8121, 40.3002, 42.8693, 45.5174, 48.2423, 51.0418, 53.9132,
    56.8539, 59.8611, 62.932, 66.0635, 69.2525, 72.4959, 75.7903, 79.1326, 82.5193, 85.947, 89.4124, 92.912,
    96.4423, 100, 103.582, 107.184, 110.803, 114.436, 118.08, 121.731, 125.386, 129.043, 132.697, 136.346,
    139.988, 143.618, 147.235, 150.836, 154.418, 157.979, 161.516, 165.028, 168.51, 171.963, 175.383, 178.769,
    182.118, 185.429, 188.701, 191.931, 195.118, 198.261, 201.359, 204.409, 207.411, 210.365, 213.268, 216.12,
    218.92, 221.667, 224.361, 227, 229.585, 232.115, 234.589, 237.008, 239.37, 241.675,
  ],
  C: [
    33, 39.92, 47.4, 55.17, 63.3, 71.81, 80.6, 89.53, 98.1, 105.8, 112.4, 117.75, 121.5, 123.45, 124, 123.6,
    123.1, 123.3, 123.8, 124.09, 123.9, 122.92, 120.7, 116.9, 112.1, 106.98, 102.3, 98.81, 96.9, 96.78, 98,
    99.94, 102.1, 103.95, 105.2, 105.67, 105.3, 104.11, 102.3, 100.15, 97.8, 95.43, 93.2, 91.22, 89.7, 88.83,
    88.4, 88.19, 88.1, 88.06, 88, 87.86, 87.8, 87.99, 88.2, 88.2, 87.9, 87.22, 86.3, 85.3, 84, 82.21, 80.2,
    78.24, 76.3, 74.36, 72.4, 70.4, 68.3, 66.3, 64.4, 62.8, 61.5, 60.2, 59.2, 58.5, 58.1, 58, 58.2, 58.5,
    59.1,
  ],
})

/**
 * Mean and first two eigenvectors of daylight, 380…780 nm by 10 nm, CIE 015. From memory; with them come the printed tables
 * of D50 and D65 (`test/standards/spectra.test.ts`).
 */
const daylight = (): readonly [readonly number[], readonly number[], readonly number[]] => [
  [
    63.4, 65.8, 94.8, 104.8, 105.9, 96.8, 113.9, 125.6, 125.5, 121.3, 121.3, 113.5, 113.1, 110.8, 106.5,
    108.8, 105.3, 104.4, 100, 96, 95.1, 89.1, 90.5, 90.3, 88.4, 84, 85.1, 81.9, 82.6, 84.9, 81.3, 71.9, 74.3,
    76.4, 63.3, 71.7, 77, 65.2, 47.7, 68.6, 65,
  ],
  [
    38.5, 35, 43.4, 46.3, 43.9, 37.1, 36.7, 35.9, 32.6, 27.9, 24.3, 20.1, 16.2, 13.2, 8.6, 6.1, 4.2, 1.9, 0,
    -1.6, -3.5, -3.5, -5.8, -7.2, -8.6, -9.5, -10.9, -10.7, -12, -14, -13.6, -12, -13.3, -12.9, -10.6, -11.6,
    -12.2, -10.2, -7.8, -11.2, -10.4,
  ],
  [
    3, 1.2, -1.1, -0.5, -0.7, -1.2, -2.6, -2.9, -2.8, -2.6, -2.6, -1.8, -1.5, -1.3, -1.2, -1, -0.5, -0.3, 0,
    0.2, 0.5, 2.1, 3.2, 4.1, 4.7, 5.1, 6.7, 7.3, 8.6, 9.8, 10.2, 8.3, 9.6, 8.5, 7, 7.6, 8, 6.7, 5.2, 7.4, 6.8,
  ],
]

/** Nominal temperatures were named with an older second radiation constant: 1.4388 over 1.4380. */
const kelvin: Partial<Record<IlluminantName, number>> = {
  D50: 5000,
  D55: 5500,
  D60: 6000,
  D65: 6500,
  D75: 7500,
}

/** Relative power of a CIE illuminant, CIE 015:2018. The daylights by the method of its clause on illuminants D. */
export function illuminantPower(name: IlluminantName): Spectrum {
  if (name === 'E') return { nm: [380, 780], values: [100, 100] }
  // Both are smooth. Daylights are, between their steps of 10 nm, straight by definition.
  if (name === 'A' || name === 'C')
    return from380(1, [...everyNanometre(from380(5, tables()[name]), 'sprague', 'hold')])
  const t = (kelvin[name]! * 1.4388) / 1.438
  const x =
    t <= 7000
      ? 0.244063 + (99.11 + (2.9678e6 - 4.607e9 / t) / t) / t
      : 0.23704 + (247.48 + (1.9018e6 - 2.0064e9 / t) / t) / t
  const y = (2.87 - 3 * x) * x - 0.275
  const rounded = (value: number) => Math.round(1000 * value) / 1000
  const divisor = 0.0241 + 0.2562 * x - 0.7341 * y
  const first = rounded((5.9114 * y - 1.3515 - 1.7703 * x) / divisor)
  const second = rounded((0.03 - 31.4424 * x + 30.0717 * y) / divisor)
  const [mean, s1, s2] = daylight()
  return from380(
    10,
    mean.map((value, i) => value + first * s1[i]! + second * s2[i]!),
  )
}

export const isIlluminant = (name: string): name is IlluminantName =>
  (illuminantNames as readonly string[]).includes(name)
