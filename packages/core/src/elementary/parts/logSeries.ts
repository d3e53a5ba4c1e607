/**
 * R(s²) of ln(1 + f) = f − f²/2 + s·(f²/2 + R), s = f/(2 + f): the polynomial of fdlibm's `e_log.c` (Sun Microsystems, 1993),
 * in error by less than 2^-58 for √½ ≤ 1 + f ≤ √2.
 */
export function logSeries(s: number): number {
  const z = s * s
  const w = z * z
  const even = w * (0.3999999999940942 + w * (0.22222198432149784 + w * 0.15313837699209373))
  const odd =
    z * (0.6666666666666735 + w * (0.2857142874366239 + w * (0.1818357216161805 + w * 0.14798198605116586)))
  return even + odd
}
