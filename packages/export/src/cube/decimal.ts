import { log10 } from '@isochip/core'
/** The fewest decimals that keep every number within `precision`: half a unit of the last one is no more than it. */
export function decimalsFor(precision: number): number {
  // A little slack, so that 5e-7 asks for six decimals although log10 of it is not exact.
  return Math.max(0, Math.ceil(-log10(2 * precision) - 1e-9))
}

/** Shortest text that reads back as the same number, in double or in single precision; exponents with a capital E. */
export function shortestDecimal(value: number, single: boolean): string {
  if (!single || value === 0) return String(value).toUpperCase()
  for (let digits = 1; digits < 9; digits++) {
    const text = value.toPrecision(digits)
    if (Math.fround(Number(text)) === value) return String(Number(text)).toUpperCase()
  }
  return String(Number(value.toPrecision(9))).toUpperCase()
}

const powersOfTen = Float64Array.from({ length: 13 }, (_, i) => Number(`1e${i}`))

/**
 * Writes `value` with at most `decimals` decimals (0…12), trailing zeros left out, as ASCII at `bytes[at]`; gives
 * back where it ended. At most 32 bytes. −0 is written 0.
 */
export function putDecimal(value: number, decimals: number, bytes: Uint8Array, at: number): number {
  const scale = powersOfTen[decimals]!
  const scaled = Math.round(Math.abs(value) * scale)
  if (!(scaled < 2 ** 53)) {
    // As many digits as there are is more than the precision asked for, and safe.
    return putText(String(value).toUpperCase(), bytes, at)
  }
  if (value < 0 && scaled > 0) bytes[at++] = 45
  let whole = 0
  let rest = scaled
  if (scaled >= scale) {
    whole = Math.floor(scaled / scale)
    rest = scaled - whole * scale
  }
  if (whole < 10) bytes[at++] = 48 + whole
  else at = putText(String(whole), bytes, at)
  if (rest === 0) return at
  bytes[at] = 46
  let end = at + decimals
  let i = end
  // More than nine digits are no 32-bit integer: the upper ones first, so that the rest is.
  for (; rest >= 2 ** 31; i--) {
    const tenth = Math.floor(rest / 10)
    bytes[i] = 48 + (rest - tenth * 10)
    rest = tenth
  }
  for (let digits = rest | 0; i > at; i--) {
    const tenth = (digits / 10) | 0
    bytes[i] = 48 + (digits - tenth * 10)
    digits = tenth
  }
  while (bytes[end] === 48) end--
  return end + 1
}

/** Text of ASCII letters at `bytes[at]`; gives back where it ended. */
export function putText(text: string, bytes: Uint8Array, at: number): number {
  for (let i = 0; i < text.length; i++) bytes[at++] = text.charCodeAt(i)
  return at
}
