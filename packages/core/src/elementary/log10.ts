import { logSeries } from './parts/logSeries.ts'
import { exponentOf, splitLog } from './parts/splitLog.ts'

// 1/ln 10 and log10 of 2 in two pieces, the first with 24 and 42 bits, so that their products below are exact.
const perLn10High = 0.4342944920063019
const perLn10Low = -1.0103050052231683e-8
const log2High = 0.30102999566361177
const log2Low = 3.694239077158931e-13

/** Logarithm to the base 10 within 1 ulp. After `e_log10.c` of FreeBSD's libm. */
export function log10(x: number): number {
  if (!(x > 0 && x < Number.POSITIVE_INFINITY))
    return x === 0 ? Number.NEGATIVE_INFINITY : x > 0 ? x : Number.NaN
  const f = splitLog(x)
  const k = exponentOf.last
  const half = 0.5 * f * f
  const s = f / (2 + f)
  const upper = Math.fround(f - half)
  const rest = f - upper - half + s * (half + logSeries(s))
  const product = upper * perLn10High
  const whole = k * log2High
  const sum = whole + product
  return k * log2Low + (rest + upper) * perLn10Low + rest * perLn10High + (whole - sum + product) + sum
}
