import { type IsochipError, spectrumColour, type Vec3 } from '@isochip/core'

/** The fields that are named by a wavelength, by ascending wavelength: SPECTRAL_NM380, SPECTRAL_NM_380, NM380, nm380.0 … */
export function spectralFields(names: readonly string[]): { readonly at: number; readonly nm: number }[] {
  return names
    .flatMap((name, at) => {
      const match = /^(?:SPECTRAL_(?:NM_?)?|SPEC_?|NM_?)(\d{3,4}(?:\.\d+)?)$/.exec(name)
      return match === null ? [] : [{ at, nm: Number(match[1]) }]
    })
    .sort((a, b) => a.nm - b.nm)
}

/** Reflectances above this as fractions there are none, fluorescent papers included … */
const mostFraction = 2
/** … and if none of a file reaches so many per cent, they may be either. */
const leastPerCent = 4

/** Whether the reflectances of a file are fractions, 1, or per cent, 0.01. */
export function scaleOf(
  rows: readonly { readonly spectrum: readonly number[] }[],
  fault: (message: string) => IsochipError,
): number {
  const most = rows.reduce((max, { spectrum }) => spectrum.reduce((a, b) => Math.max(a, b), max), 0)
  if (most <= mostFraction) return 1
  if (most < leastPerCent) throw fault(`the largest reflectance is ${most}: neither fractions nor per cent`)
  return 0.01
}

/** Reflectance at these wavelengths → XYZ under D65, 2° observer. */
export function colourUnderD65(nm: readonly number[]): (reflectance: readonly number[]) => Vec3 {
  const xyz = spectrumColour('D65')
  return (values) => xyz({ nm, values })
}
