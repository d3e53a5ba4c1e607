import { utf8Text } from './text.ts'

const powersOfTen = Float64Array.from({ length: 23 }, (_, i) => Number(`1e${i}`))

/**
 * Reads decimal numbers straight from bytes, rounded as `Number()` would, several times faster than by strings: up
 * to fifteen digits and a power of ten up to 22 are both exact in double precision, so one multiplication or
 * division rounds correctly (W. D. Clinger, How to read floating point numbers accurately, PLDI 1990); anything
 * longer takes the slow way.
 */
export class ByteNumbers {
  bytes: Uint8Array
  /** Where the next number starts; after `next` where it ended. */
  at = 0
  /** A lower-case `e` was seen. */
  lowerExponent = false

  constructor(bytes: Uint8Array) {
    this.bytes = bytes
  }

  /**
   * The number at `at`: [+-] digits [. digits] [(e|E) [+-] digits], at least one digit. NaN, with `at` unmoved, when
   * there is none. An overflow gives an infinity.
   */
  next(end: number): number {
    const { bytes } = this
    const start = this.at
    let i = start
    const negative = bytes[i] === 45
    if (negative || bytes[i] === 43) i++
    let mantissa = 0
    let digits = 0
    let seen = 0
    let exponent = 0
    let c = 0
    for (; i < end; i++) {
      c = bytes[i]! - 48
      if (c < 0 || c > 9) break
      seen++
      if (digits > 0 || c > 0) digits++
      mantissa = mantissa * 10 + c
    }
    if (i < end && bytes[i] === 46) {
      for (i++; i < end; i++) {
        c = bytes[i]! - 48
        if (c < 0 || c > 9) break
        seen++
        exponent--
        if (digits > 0 || c > 0) digits++
        mantissa = mantissa * 10 + c
      }
    }
    if (seen === 0) return Number.NaN
    if (i < end && (bytes[i]! | 32) === 101) {
      let j = i + 1
      const down = bytes[j] === 45
      if (down || bytes[j] === 43) j++
      const first = j
      let power = 0
      for (; j < end; j++) {
        c = bytes[j]! - 48
        if (c < 0 || c > 9) break
        if (power < 1e6) power = power * 10 + c
      }
      if (j > first) {
        if (bytes[i] === 101) this.lowerExponent = true
        exponent += down ? -power : power
        i = j
      }
    }
    this.at = i
    if (digits <= 15 && exponent >= -22 && exponent <= 22) {
      const value = exponent < 0 ? mantissa / powersOfTen[-exponent]! : mantissa * powersOfTen[exponent]!
      return negative ? -value : value
    }
    return Number(utf8Text(bytes.subarray(start, i)))
  }
}
