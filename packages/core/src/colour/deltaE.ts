import { convertXyz65ToItp } from 'culori/fn'
import type { Vec3 } from '../linear/mat3.ts'
import type { Lab65 } from './lab.ts'

/** ΔE*ab of CIE 1976: the Euclidean distance in CIELAB. */
export function deltaE76(sample: Lab65, reference: Lab65): number {
  return Math.hypot(sample[0] - reference[0], sample[1] - reference[1], sample[2] - reference[2])
}

/**
 * ΔE ITP of ITU-R BT.2124-0, annex 1: 720 · √(ΔI² + ΔT² + ΔP²) with T = C_T / 2, between two colours given as XYZ
 * relative to D65 where Y = 1 is a diffuse white; that white is taken to be shown at 203 cd/m² (ITU-R BT.2408).
 */
export function deltaEItp(sample: Vec3, reference: Vec3): number {
  return itpDistance(itpFromXyz65(sample), itpFromXyz65(reference))
}

/** XYZ relative to D65, a diffuse white at Y = 1 → I, C_T, C_P with that white at 203 cd/m². */
export function itpFromXyz65(xyz: Vec3): Vec3 {
  const { i, t, p } = convertXyz65ToItp({ x: xyz[0], y: xyz[1], z: xyz[2] })
  return [i, t, p]
}

/** ΔE ITP between two colours given as I, C_T, C_P. */
export function itpDistance(a: Vec3, b: Vec3): number {
  return 720 * Math.hypot(a[0] - b[0], (a[1] - b[1]) / 2, a[2] - b[2])
}
