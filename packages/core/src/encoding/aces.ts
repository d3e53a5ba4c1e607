import { exp2 } from '../elementary/exp2.ts'
import { log2 } from '../elementary/log2.ts'
import type { Transfer } from './transfer.ts'

const halfMax = 65504

/**
 * ACEScc, Academy S-2014-003, section 4.4. No light below zero has a code value of its own: the curve ends at
 * (log2(2^-16) + 9.72) / 17.52.
 */
export const acescc: Transfer = {
  channelsAlike: true,
  encode: (light) => {
    if (light <= 0) return (-16 + 9.72) / 17.52
    if (light < 2 ** -15) return (log2(2 ** -16 + light * 0.5) + 9.72) / 17.52
    return (log2(light) + 9.72) / 17.52
  },
  decode: (code) => {
    if (code <= (9.72 - 15) / 17.52) return (exp2(code * 17.52 - 9.72) - 2 ** -16) * 2
    if (code < (log2(halfMax) + 9.72) / 17.52) return exp2(code * 17.52 - 9.72)
    return halfMax
  },
}

/** ACEScct, Academy S-2016-001, section 4.4: ACEScc with a straight toe below 0.0078125. */
export const acescct: Transfer = {
  channelsAlike: true,
  encode: (light) =>
    light <= 0.0078125 ? 10.5402377416545 * light + 0.0729055341958355 : (log2(light) + 9.72) / 17.52,
  decode: (code) => {
    if (code <= 0.155251141552511) return (code - 0.0729055341958355) / 10.5402377416545
    if (code < (log2(halfMax) + 9.72) / 17.52) return exp2(code * 17.52 - 9.72)
    return halfMax
  },
}
