import { logSeries } from './parts/logSeries.ts'
import { powersOfTwo } from './parts/powersOfTwo.ts'
import { double, high, words } from './parts/words.ts'

/** Natural logarithm within 1 ulp; NaN below zero. After fdlibm's `e_log.c` (Sun Microsystems, 1993). */
export function ln(x: number): number {
  if (!(x >= 2.2250738585072014e-308 && x < 8.98846567431158e307)) return lnOfSpecial(x)
  // As `splitLog` does it, which would cost a tenth more here.
  double[0] = x
  const k = ((words[high]! + (0x3ff00000 - 0x3fe6a09e)) >> 20) - 1023
  const f = x * powersOfTwo[1022 - k]! - 1
  const half = 0.5 * f * f
  const s = f / (2 + f)
  return k * 0.6931471803691238 - (half - (s * (half + logSeries(s)) + k * 1.9082149292705877e-10) - f)
}

function lnOfSpecial(x: number): number {
  if (x === 0) return Number.NEGATIVE_INFINITY
  if (!(x > 0 && x < Number.POSITIVE_INFINITY)) return x > 0 ? x : Number.NaN
  return x < 1 ? ln(x * 2 ** 54) - 54 * Math.LN2 : ln(x * 2 ** -54) + 54 * Math.LN2
}
