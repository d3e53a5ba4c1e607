import { exp2 } from '../elementary/exp2.ts'
/**
 * Narrow range after ITU-R BT.709-6, item 4.6, and BT.2100-2, table 9: black at 16 · 2^(bits−8), nominal peak at
 * 235 · 2^(bits−8). Full range: 0 … 2^bits − 1.
 */
export const ranges = ['full', 'narrow'] as const

export type Range = (typeof ranges)[number]

/** Offset and scale so that nominal = (fraction − offset) · scale, where fraction = code / (2^bits − 1). */
function narrow(bits: number): { offset: number; scale: number } {
  const top = exp2(bits) - 1
  const step = exp2(bits - 8)
  return { offset: (16 * step) / top, scale: top / (219 * step) }
}

/** Fraction of the full code range (0…1) → nominal value (0 = black, 1 = nominal peak). `bits` per sample, 8…16. */
export function nominalFromFraction(fraction: number, range: Range, bits: number): number {
  if (range === 'full') return fraction
  const { offset, scale } = narrow(bits)
  return (fraction - offset) * scale
}

/** Nominal value → fraction of the full code range. The inverse of `nominalFromFraction`. */
export function fractionFromNominal(nominal: number, range: Range, bits: number): number {
  if (range === 'full') return nominal
  const { offset, scale } = narrow(bits)
  return nominal / scale + offset
}
