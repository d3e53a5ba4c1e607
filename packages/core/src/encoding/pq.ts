import { pow } from '../elementary/pow.ts'
import type { Transfer } from './transfer.ts'

// ITU-R BT.2100-2, table 4 (also SMPTE ST 2084): the constants as the fractions in which they are given.
const m1 = 2610 / 16384
const m2 = (2523 / 4096) * 128
const c1 = 3424 / 4096
const c2 = (2413 / 4096) * 32
const c3 = (2392 / 4096) * 32

/** Luminance of a perfect diffuse white in cd/m², the HDR reference white of ITU-R BT.2408, section 2.1. */
export const referenceWhite = 203

/** The PQ EOTF: code value 0…1 → luminance in cd/m², 0…10 000. */
export function pqLuminance(code: number): number {
  const root = pow(Math.abs(code), 1 / m2)
  // Above code value 1.0087 or so the denominator would pass zero; the curve ends at 1 by the standard.
  const ratio = Math.max(root - c1, 0) / Math.max(c2 - c3 * root, c2 - c3)
  return Math.sign(code) * 10000 * pow(ratio, 1 / m1)
}

/** The inverse: luminance in cd/m² → code value. */
export function pqCode(luminance: number): number {
  const y = pow(Math.abs(luminance) / 10000, m1)
  const code = pow((c1 + c2 * y) / (1 + c3 * y), m2)
  // The curve starts a little above zero (c1^m2 = 7e-7); taking that off would bend the standard's values, so black
  // keeps it and only the sign of the light decides the side.
  return luminance < 0 ? -code : code
}

/** PQ, relative to the 203 cd/m² of a diffuse white. Display light. */
export const pq: Transfer = {
  channelsAlike: true,
  decode: (code) => pqLuminance(code) / referenceWhite,
  encode: (light) => pqCode(light * referenceWhite),
}
