import { quickPow } from '../elementary/quickPow.ts'
import type { Transfer } from './transfer.ts'

/**
 * The opto-electronic transfer characteristic of ITU-R BT.709-6, item 1.2 (the same form in BT.2020-2, table 4):
 * V = 4.5 L below the break β, V = α L^0.45 − (α − 1) from it on. Scene light.
 */
function oetf(alpha: number, beta: number): Transfer {
  // Where the decoder changes over: the higher end of the two pieces, so that decode(encode(x)) is x on both sides
  // of the small step that the rounded constants of the standard leave at the break. Codes within the step are those
  // of the break's own light, so that the decoder never falls.
  const codeBreak = alpha * quickPow(beta, 0.45) - (alpha - 1)
  return {
    channelsAlike: true,
    encode: (light) => (light < beta ? 4.5 * light : alpha * quickPow(light, 0.45) - (alpha - 1)),
    decode: (code) =>
      code < codeBreak ? Math.min(code / 4.5, beta) : quickPow((code + alpha - 1) / alpha, 1 / 0.45),
  }
}

/** BT.709-6: α = 1.099, β = 0.018, as printed. */
export const bt709: Transfer = oetf(1.099, 0.018)

/**
 * BT.2020-2 prints α = 1.099, β = 0.018 for 10-bit systems and 1.0993, 0.0181 for 12-bit ones, both rounded from
 * the values that make the two pieces meet in level and slope; these are those values.
 */
export const bt2020: Transfer = oetf(1.09929682680944, 0.018053968510807)
