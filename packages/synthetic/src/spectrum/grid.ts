/** Every spectrum of the package is sampled at 380…780 nm by 5 nm, the grid of the CIE tables. */
export const grid = { start: 380, step: 5, count: 81 } as const

/** 81 samples on `grid`: relative power, reflectance 0…1 or relative sensitivity, as the name of the variable says. */
export type Spectrum = Float64Array

/** Wavelength of sample `index`, nm. */
export const wavelength = (index: number): number => grid.start + index * grid.step

/** A function of the wavelength in nm → a spectrum. */
export const sampled = (at: (nm: number) => number): Spectrum =>
  Float64Array.from({ length: grid.count }, (_, i) => at(wavelength(i)))

/**
 * A table by equal steps → a spectrum, by linear interpolation. Beyond its ends the table is continued with its last
 * value (`hold`, right for reflectances) or with nothing (`zero`, right for sensitivities).
 */
export function resample(
  table: readonly number[],
  start: number,
  step: number,
  beyond: 'hold' | 'zero',
): Spectrum {
  const last = table.length - 1
  return sampled((nm) => {
    const at = (nm - start) / step
    if (at < 0 || at > last) return beyond === 'zero' ? 0 : table[at < 0 ? 0 : last]!
    const left = Math.min(Math.floor(at), last - 1)
    return table[left]! + (at - left) * (table[left + 1]! - table[left]!)
  })
}

/** Σ a·b, and Σ a·b·c where a third spectrum is given. */
export function sumOf(a: Spectrum, b: Spectrum, c?: Spectrum): number {
  let sum = 0
  for (let i = 0; i < grid.count; i++) sum += a[i]! * b[i]! * (c === undefined ? 1 : c[i]!)
  return sum
}
