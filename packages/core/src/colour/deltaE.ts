import { hypot } from '../elementary/hypot.ts'
import { pqCode, referenceWhite } from '../encoding/pq.ts'
import { apply3, type Mat3, multiply3, type Vec3 } from '../linear/mat3.ts'
import type { Lab65 } from './lab.ts'
import { resolvePrimaries, xyzToRgb } from './primaries.ts'

// ITU-R BT.2100-2, table 7: BT.2020 primaries → LMS, and PQ-coded LMS → I, C_T, C_P.
const lmsFromRgb2020: Mat3 = [
  [1688 / 4096, 2146 / 4096, 262 / 4096],
  [683 / 4096, 2951 / 4096, 462 / 4096],
  [99 / 4096, 309 / 4096, 3688 / 4096],
]
const itpFromLms: Mat3 = [
  [0.5, 0.5, 0],
  [6610 / 4096, -13613 / 4096, 7003 / 4096],
  [17933 / 4096, -17390 / 4096, -543 / 4096],
]
const lmsFromXyz65 = multiply3(lmsFromRgb2020, xyzToRgb(resolvePrimaries('bt2020')))

/** ΔE*ab of CIE 1976: the Euclidean distance in CIELAB. */
export function deltaE76(sample: Lab65, reference: Lab65): number {
  return hypot(sample[0] - reference[0], sample[1] - reference[1], sample[2] - reference[2])
}

/**
 * ΔE ITP of ITU-R BT.2124-0, annex 1: 720 · √(ΔI² + ΔT² + ΔP²) with T = C_T / 2, between two colours given as XYZ
 * relative to D65 where Y = 1 is a diffuse white; that white is taken to be shown at 203 cd/m² (ITU-R BT.2408).
 */
export function deltaEItp(sample: Vec3, reference: Vec3): number {
  return itpDistance(itpFromXyz65(sample), itpFromXyz65(reference))
}

/** XYZ relative to D65, a diffuse white at Y = 1 → I, C_T, C_P with that white at 203 cd/m². Light below zero is black. */
export function itpFromXyz65(xyz: Vec3): Vec3 {
  const [l, m, s] = apply3(lmsFromXyz65, [Math.max(xyz[0], 0), Math.max(xyz[1], 0), Math.max(xyz[2], 0)])
  const code = (light: number) => (light < 0 ? 0 : pqCode(light * referenceWhite))
  return apply3(itpFromLms, [code(l), code(m), code(s)])
}

/** ΔE ITP between two colours given as I, C_T, C_P. */
export function itpDistance(a: Vec3, b: Vec3): number {
  return 720 * hypot(a[0] - b[0], (a[1] - b[1]) / 2, a[2] - b[2])
}
