import { pow } from '../elementary/pow.ts'
import type { Transfer } from './transfer.ts'

/** Pure power law, point-symmetric about black: light = |code|^exponent with the sign of the code. */
export function power(exponent: number): Transfer {
  return {
    channelsAlike: true,
    decode: (code) => Math.sign(code) * pow(Math.abs(code), exponent),
    encode: (light) => Math.sign(light) * pow(Math.abs(light), 1 / exponent),
  }
}

/** Light and code value are the same. */
export const linear: Transfer = { channelsAlike: true, decode: (code) => code, encode: (light) => light }

/** ITU-R BT.1886, annex 1, for a display of black level zero: L = V^2.4. Display light. */
export const bt1886: Transfer = power(2.4)
