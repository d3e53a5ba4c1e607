import { expReduced } from './exp.ts'

// ln 2 as a sum; the first has 27 bits, so that its product with an upper part of 26 bits is exact.
const ln2High = 0.6931471824645996
const ln2Low = -1.904654299957768e-9
/** 2^27 + 1: splits a double into two halves (T. J. Dekker, Numer. Math. 18 (1971) 224–242). */
const splitter = 134217729

/** 2^x within 1 ulp, exact for whole numbers. */
export function exp2(x: number): number {
  if (!(x < 1024)) return x > 0 ? Number.POSITIVE_INFINITY : x
  if (x < -1075) return 0
  const k = Math.floor(x + 0.5)
  const f = x - k
  if (f === 0) return expReduced(0, 0, k)
  const wide = f * splitter
  const upper = wide - (wide - f)
  return expReduced(upper * ln2High, -((f - upper) * ln2High + f * ln2Low), k)
}
