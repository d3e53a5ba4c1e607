const single = new Float32Array(1)
const bits = new Int32Array(single.buffer)

/**
 * Cube root within 1 ulp: a third of the exponent, a polynomial to 23 bits, one step of Newton. After `s_cbrt.c` of
 * FreeBSD's libm (Sun Microsystems 1993; B. Evans, S. G. Kargl, D. Schultz).
 */
export function cbrt(x: number): number {
  const size = Math.abs(x)
  if (size > 1e30 || size < 1e-30) {
    if (!(size > 0 && size < Number.POSITIVE_INFINITY)) return x
    // Towards 1 by cubes of powers of two, which is exact.
    if (size > 1) return cbrt(x * 2 ** -99) * 2 ** 33
    return cbrt(x * 2 ** 99) * 2 ** -33
  }
  single[0] = size
  bits[0] = ((bits[0]! / 3) | 0) + 709958130
  let t = single[0]
  const r = t * t * (t / size)
  t *=
    1.87595182427177 +
    r * (-1.8849797954337717 + r * 1.6214297201053545) +
    r * r * r * (-0.758397934778766 + r * 0.14599619288661245)
  // Rounded to 24 bits, so that t² is exact.
  t = Math.fround(t)
  const q = size / (t * t)
  t += t * ((q - t) / (t + t + q))
  return x < 0 ? -t : t
}
