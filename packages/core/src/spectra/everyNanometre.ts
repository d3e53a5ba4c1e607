import type { Spectrum } from './spectrum.ts'

/** The range over which colours are summed, 380…780 nm by 1 nm (CIE 015: 380…780 nm at least). */
export const range = { start: 380, count: 401 } as const

/**
 * A spectrum at 380…780 nm by 1 nm.
 *
 * @param between `sprague` for smooth functions by equal steps, six of them at least (CIE 167:2005, fifth order; else
 * `linear`); `linear` for lights, whose lines it leaves their power.
 * @param beyond the ends: `hold` the last value (CIE 015, for reflectances), or `zero`.
 */
export function everyNanometre(
  { nm, values }: Spectrum,
  between: 'linear' | 'sprague',
  beyond: 'hold' | 'zero',
): Float64Array {
  const last = nm.length - 1
  const step = (nm[last]! - nm[0]!) / last
  const equal = last >= 5 && nm.every((at, i) => Math.abs(at - nm[0]! - i * step) < 1e-6 * step)
  const smooth = between === 'sprague' && equal ? spragueCoefficients(values) : undefined
  const out = new Float64Array(range.count)
  let left = 0
  for (let i = 0; i < range.count; i++) {
    const at = range.start + i
    if (at < nm[0]! || at > nm[last]!) {
      out[i] = beyond === 'zero' ? 0 : values[at < nm[0]! ? 0 : last]!
      continue
    }
    while (left < last - 1 && nm[left + 1]! <= at) left++
    const t = last === 0 ? 0 : (at - nm[left]!) / (nm[left + 1]! - nm[left]!)
    if (smooth === undefined)
      out[i] = values[left]! + t * ((values[left + 1] ?? values[left]!) - values[left]!)
    else {
      const a = smooth[left]!
      out[i] = a[0]! + t * (a[1]! + t * (a[2]! + t * (a[3]! + t * (a[4]! + t * a[5]!))))
    }
  }
  return out
}

/** By interval: the six coefficients of Sprague's polynomial, through two values more than there are at either end. */
function spragueCoefficients(values: readonly number[]): readonly (readonly number[])[] {
  const sum = (weights: readonly number[], of: readonly number[]) =>
    weights.reduce((total, weight, i) => total + weight * of[i]!, 0)
  const outward = (six: readonly number[]) => [
    sum([884, -1960, 3033, -2648, 1080, -180], six) / 209,
    sum([508, -540, 488, -367, 144, -24], six) / 209,
  ]
  const after = outward(values.slice(-6).reverse()).reverse()
  const p = [...outward(values.slice(0, 6)), ...values, ...after]
  return values.slice(1).map((_, i) => {
    const six = p.slice(i, i + 6)
    return [
      six[2]!,
      sum([2, -16, 0, 16, -2, 0], six) / 24,
      sum([-1, 16, -30, 16, -1, 0], six) / 24,
      sum([-9, 39, -70, 66, -33, 7], six) / 24,
      sum([13, -64, 126, -124, 61, -12], six) / 24,
      sum([-5, 25, -50, 50, -25, 5], six) / 24,
    ]
  })
}
