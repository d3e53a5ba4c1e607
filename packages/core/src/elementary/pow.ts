import { powersOfTwo } from './parts/powersOfTwo.ts'
import { scaled } from './parts/scaled.ts'
import { double, high, words } from './parts/words.ts'

/**
 * base^exponent within 1 ulp, with the special values of ECMA-262.
 *
 * log2 of the base is worked out to some 70 bits, as a sum, times the exponent likewise, and 2 to the power of that: fdlibm's
 * `e_pow.c` (Sun Microsystems, 1993–2004), which states 0.70 ulp.
 */
export function pow(base: number, exponent: number): number {
  if (exponent === 0) return 1
  if (Number.isNaN(base) || Number.isNaN(exponent)) return Number.NaN
  if (exponent === 1) return base
  if (exponent === 2) return base * base
  const size = Math.abs(base)
  if (!(size > 0 && size < Number.POSITIVE_INFINITY && Math.abs(exponent) < 1e30)) {
    return powOfSpecial(base, size, exponent)
  }
  if (base > 0) return powOfPositive(size, exponent)
  if (!Number.isInteger(exponent)) return Number.NaN
  return exponent % 2 === 0 ? powOfPositive(size, exponent) : -powOfPositive(size, exponent)
}

function powOfSpecial(base: number, size: number, exponent: number): number {
  if (Math.abs(exponent) >= 1e30) {
    if (size === 1) return Math.abs(exponent) === Number.POSITIVE_INFINITY ? Number.NaN : 1
    return size > 1 === exponent > 0 ? Number.POSITIVE_INFINITY : 0
  }
  const value = (size === 0) === exponent > 0 ? 0 : Number.POSITIVE_INFINITY
  const negative = (base < 0 || Object.is(base, -0)) && Number.isInteger(exponent) && exponent % 2 !== 0
  return negative ? -value : value
}

/** @param x finite, above 0 */
function powOfPositive(x: number, y: number): number {
  if (x === 1) return 1
  let n = -1023
  if (x < 2.2250738585072014e-308) {
    x *= 9007199254740992
    n -= 53
  }
  double[0] = x
  const top = words[high]!
  const biased = top >> 20
  n += biased
  const fraction = top & 0xfffff
  // 1 ≤ m < 2; 2^-1023 is no normal double.
  let m = biased === 2046 ? x * 0.5 * powersOfTwo[0]! : x * powersOfTwo[2045 - biased]!
  // Below √1.5 the logarithm is taken about 1, below √3 about 1.5, above about 2.
  let middle = 1
  if (fraction > 0x3988e && fraction < 0xbb67a) middle = 1.5
  else if (fraction >= 0xbb67a) {
    n += 1
    m *= 0.5
  }

  // s = (m − middle)/(m + middle) = s1 + s0, s1 with 24 bits, as all that end in 1 below: their products are exact.
  const u = m - middle
  const v = 1 / (m + middle)
  const s = u * v
  const s1 = Math.fround(s)
  const t1 = Math.fround(m + middle)
  const t0 = m - (t1 - middle)
  const s0 = v * (u - s1 * t1 - s1 * t0)
  const s2 = s * s
  let r =
    s2 *
    s2 *
    (0.5999999999999946 +
      s2 *
        (0.4285714285785502 +
          s2 *
            (0.33333332981837743 +
              s2 * (0.272728123808534 + s2 * (0.23066074577556175 + s2 * 0.20697501780033842)))))
  r += s0 * (s1 + s)
  const square = s1 * s1
  const c1 = Math.fround(3 + square + r)
  const c0 = r - (c1 - 3 - square)
  // 2/(3 ln 2) · s · (3 + s² + …), as a sum of two.
  const pu = s1 * c1
  const pv = s0 * c1 + c0 * s
  const p1 = Math.fround(pu + pv)
  const p0 = pv - (p1 - pu)
  const z1 = 0.9617967009544373 * p1
  const z0 = -7.028461650952758e-9 * p1 + p0 * 0.9617966939259756 + (middle === 1 ? 0 : 1.350039202129749e-8)
  const d1 = middle === 1 ? 0 : 0.5849624872207642
  const l1 = Math.fround(z1 + z0 + d1 + n)
  const l0 = z0 - (l1 - n - d1 - z1)

  // The exponent times that, as a sum of two.
  const y1 = Math.fround(y)
  const a0 = (y - y1) * l1 + y * l0
  const a1 = y1 * l1
  const a = a1 + a0
  if (a >= 1024) return Number.POSITIVE_INFINITY
  if (a < -1076) return 0
  const k = Math.floor(a + 0.5)
  const b1 = a1 - k
  const t = Math.fround(a0 + b1)
  const eu = t * 0.6931471824645996
  const ev = (a0 - (t - b1)) * Math.LN2 + t * -1.904654299957768e-9
  const e = eu + ev
  const w = ev - (e - eu)
  const e2 = e * e
  const c =
    e -
    e2 *
      (0.16666666666666602 +
        e2 *
          (-0.0027777777777015593 +
            e2 * (6.613756321437934e-5 + e2 * (-1.6533902205465252e-6 + e2 * 4.1381367970572385e-8))))
  const value = 1 - ((e * c) / (c - 2) - (w + e * w) - e)
  return k === 0 ? value : scaled(value, k)
}
