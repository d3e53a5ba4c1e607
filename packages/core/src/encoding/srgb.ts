import { quickPow } from '../elementary/quickPow.ts'
import type { Transfer } from './transfer.ts'

/** IEC 61966-2-1:1999, clause 5.2 (with the printed breaks 0.0031308 and 0.04045). The toe runs on below black. */
export const srgb: Transfer = {
  channelsAlike: true,
  encode: (light) => (light <= 0.0031308 ? 12.92 * light : 1.055 * quickPow(light, 1 / 2.4) - 0.055),
  decode: (code) => (code <= 0.04045 ? code / 12.92 : quickPow((code + 0.055) / 1.055, 2.4)),
}
