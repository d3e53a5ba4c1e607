import { scaled } from './parts/scaled.ts'

// ln 2 in two pieces, the first with 21 trailing zeros, so that k times it is exact.
const ln2High = 0.6931471803691238
const ln2Low = 1.9082149292705877e-10

/**
 * e^x within 1 ulp.
 *
 * x = k·ln 2 + r with |r| ≤ ½ ln 2, and e^r by the rational approximation of fdlibm's `e_exp.c` (Sun Microsystems, 1993),
 * r·(e^r + 1)/(e^r − 1) ≈ 2 + P1·r² + P2·r⁴ + … , in error by less than 2^-59.
 */
export function exp(x: number): number {
  if (!(x < 709.782712893384))
    return x > 0 ? (x > 709.782712893384 ? Number.POSITIVE_INFINITY : 1.797693134862273e308) : x
  if (x < -745.1332191019412) return 0
  const k = Math.floor(x * Math.LOG2E + 0.5)
  const r1 = x - k * ln2High
  const r0 = k * ln2Low
  return expReduced(r1, r0, k)
}

/** e^(r1 − r0) · 2^k for |r1 − r0| ≤ 0.35. */
export function expReduced(r1: number, r0: number, k: number): number {
  const r = r1 - r0
  const t = r * r
  const c =
    r -
    t *
      (0.16666666666666602 +
        t *
          (-0.0027777777777015593 +
            t * (6.613756321437934e-5 + t * (-1.6533902205465252e-6 + t * 4.1381367970572385e-8))))
  const y = 1 - (r0 - (r * c) / (2 - c) - r1)
  return k === 0 ? y : scaled(y, k)
}
