/**
 * Wavelengths, nm, between whose values a reflectance is taken to run straight; beyond them it stays as it is. The steps
 * of ISO 17321-1.
 */
export const knots = { start: 380, step: 10, count: 36 } as const

/** Values at ascending wavelengths, nm, at the knots, by linear interpolation; beyond the ends the last value is held. */
export function atKnots(nm: ArrayLike<number>, values: ArrayLike<number>): Float64Array {
  const last = nm.length - 1
  let left = 0
  return Float64Array.from({ length: knots.count }, (_, k) => {
    const at = knots.start + k * knots.step
    if (at <= nm[0]!) return values[0]!
    if (at >= nm[last]!) return values[last]!
    while (nm[left + 1]! <= at) left++
    const t = (at - nm[left]!) / (nm[left + 1]! - nm[left]!)
    return values[left]! + t * (values[left + 1]! - values[left]!)
  })
}
