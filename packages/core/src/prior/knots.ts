/**
 * Wavelengths, nm, between whose values a reflectance is taken to run straight; beyond them it stays as it is. The steps
 * of ISO 17321-1.
 */
export const knots = { start: 380, step: 10, count: 36 } as const

/** A table by equal steps, nm, at the knots, by linear interpolation; beyond its ends the last value is held. */
export function atKnots(table: ArrayLike<number>, start: number, step: number): Float64Array {
  const last = table.length - 1
  return Float64Array.from({ length: knots.count }, (_, k) => {
    const at = Math.min(Math.max((knots.start + k * knots.step - start) / step, 0), last)
    const left = Math.min(Math.floor(at), Math.max(last - 1, 0))
    return table[left]! + (at - left) * ((table[left + 1] ?? table[left]!) - table[left]!)
  })
}
