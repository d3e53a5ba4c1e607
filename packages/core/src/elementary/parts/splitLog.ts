import { powersOfTwo } from './powersOfTwo.ts'
import { double, high, words } from './words.ts'

/** The exponent that `splitLog` found: a function that returned two numbers would have to make an object. */
export const exponentOf = { last: 0 }

/**
 * x = 2^k · (1 + f) with √½ ≤ 1 + f < √2: returns f, which is exact, and leaves k in `exponentOf.last`.
 *
 * @param x finite, above 0
 */
export function splitLog(x: number): number {
  if (x < 2.2250738585072014e-308) {
    const f = splitLog(x * 18014398509481984)
    exponentOf.last -= 54
    return f
  }
  double[0] = x
  // Adding what lies between √½ and 1 carries into the exponent just where the fraction is past √2.
  const k = ((words[high]! + (0x3ff00000 - 0x3fe6a09e)) >> 20) - 1023
  exponentOf.last = k
  return (k > 1022 ? x * 0.25 * powersOfTwo[1024 - k]! : x * powersOfTwo[1022 - k]!) - 1
}
