import { powersOfTwo } from './powersOfTwo.ts'

/** value · 2^k, rounded once. @param k a whole number from −1076 to 1024; value between ½ and 2 */
export function scaled(value: number, k: number): number {
  if (k > 1023) return 2 * value * 8.98846567431158e307
  if (k < -1022) return value * powersOfTwo[k + 2044]! * 2.2250738585072014e-308
  return value * powersOfTwo[k + 1022]!
}
