import { logSeries } from './parts/logSeries.ts'
import { exponentOf, splitLog } from './parts/splitLog.ts'

// 1/ln 2 in two pieces, the first with 24 bits, so that its product with 24 bits is exact.
const perLn2High = 1.4426950216293335
const perLn2Low = 1.9259629911266175e-8

/** Logarithm to the base 2 within 1 ulp, exact for powers of two. After `e_log2.c` of FreeBSD's libm. */
export function log2(x: number): number {
  if (!(x > 0 && x < Number.POSITIVE_INFINITY))
    return x === 0 ? Number.NEGATIVE_INFINITY : x > 0 ? x : Number.NaN
  const f = splitLog(x)
  const k = exponentOf.last
  const half = 0.5 * f * f
  const s = f / (2 + f)
  const upper = Math.fround(f - half)
  const rest = f - upper - half + s * (half + logSeries(s))
  const product = upper * perLn2High
  const sum = k + product
  return rest * perLn2High + (rest + upper) * perLn2Low + (k - sum + product) + sum
}
