/**
 * What a shift in mired makes of a colour temperature: 10⁶/kelvin is what a conversion filter adds to, whatever the
 * light.
 *
 * @param was kelvin, above zero
 * @param mired positive: warmer, so fewer kelvin
 * @returns kelvin; Infinity where the shift leaves no finite temperature
 */
export function kelvinAfter(was: number, mired: number): number {
  const now = 1e6 / was + mired
  return now > 0 ? 1e6 / now : Number.POSITIVE_INFINITY
}
