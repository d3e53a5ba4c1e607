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
  const a = convertXyz65ToItp({ x: sample[0], y: sample[1], z: sample[2] })
  const b = convertXyz65ToItp({ x: reference[0], y: reference[1], z: reference[2] })
  return 720 * Math.hypot(a.i - b.i, (a.t - b.t) / 2, a.p - b.p)
}
