/** The fewest decimals that keep every number within `precision`: half a unit of the last one is no more than it. */
export function decimalsFor(precision: number): number {
  // A hair of slack, so that 5e-7 asks for six decimals although log10 of it is not exact.
  return Math.max(0, Math.ceil(-Math.log10(2 * precision) - 1e-9))
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

/**
 * Writes `value` with at most `decimals` decimals (0…12), trailing zeros left out, as ASCII at `bytes[at]`; gives
 * back where it ended. At most 32 bytes. −0 is written 0.
 */
export function putDecimal(value: number, decimals: number, bytes: Uint8Array, at: number): number {
  const scale = 10 ** decimals
  const scaled = Math.round(Math.abs(value) * scale)
  if (!(scaled < 2 ** 53)) {
    // As many digits as there are is more than the precision asked for, and safe.
    const text = String(value).toUpperCase()
    for (let i = 0; i < text.length; i++) bytes[at++] = text.charCodeAt(i)
    return at
  }
  if (value < 0 && scaled > 0) bytes[at++] = 45
  const whole = Math.floor(scaled / scale)
  if (whole < 10) bytes[at++] = 48 + whole
  else {
    const text = String(whole)
    for (let i = 0; i < text.length; i++) bytes[at++] = text.charCodeAt(i)
  }
  let rest = scaled - whole * scale
  if (rest === 0) return at
  bytes[at] = 46
  let end = at + decimals
  for (let i = end; i > at; i--) {
    const next = Math.floor(rest / 10)
    bytes[i] = 48 + (rest - next * 10)
    rest = next
  }
  while (bytes[end] === 48) end--
  return end + 1
}
