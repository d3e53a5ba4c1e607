import { exp2, log2 } from '@isochip/core'
/** Half-precision floats (IEEE 754 binary16) as bit patterns 0…65535. */

/** The largest finite half. */
export const halfMax = 65504

/** Bit pattern → value; NaN and infinities as they are. */
export function halfValue(bits: number): number {
  const sign = bits & 0x8000 ? -1 : 1
  const exponent = (bits >> 10) & 31
  const fraction = bits & 1023
  if (exponent === 31) return fraction === 0 ? sign * Number.POSITIVE_INFINITY : Number.NaN
  if (exponent === 0) return sign * fraction * 2 ** -24
  return sign * (1 + fraction / 1024) * exp2(exponent - 15)
}

/** The bit pattern of the half next to `value` on the side of zero; beyond ±65504 that of ±65504. NaN counts as 0. */
export function halfTowardsZero(value: number): number {
  const sign = value < 0 ? 0x8000 : 0
  const size = Math.min(Math.abs(value), halfMax)
  if (!(size >= 2 ** -14)) return sign | (size > 0 ? Math.floor(size * 2 ** 24) : 0)
  let exponent = Math.floor(log2(size))
  // The logarithm rounds; the power of two must not be above the value.
  if (exp2(exponent) > size) exponent--
  else if (exp2(exponent + 1) <= size) exponent++
  return sign | ((exponent + 15) << 10) | Math.floor((size / exp2(exponent) - 1) * 1024)
}

/** The bit pattern of the nearest half, ties to even. */
export function nearestHalf(value: number): number {
  const low = halfTowardsZero(value)
  if (Math.abs(halfValue(low)) >= halfMax) return low
  const below = Math.abs(value) - Math.abs(halfValue(low))
  const above = Math.abs(halfValue(low + 1)) - Math.abs(value)
  return below < above || (below === above && low % 2 === 0) ? low : low + 1
}
