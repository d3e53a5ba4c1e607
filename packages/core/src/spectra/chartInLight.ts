import type { Chart } from '../chart/chart.ts'
import type { IlluminantName, Xy } from '../colour/illuminants.ts'
import type { Vec3 } from '../linear/mat3.ts'
import { illuminantPower, isIlluminant } from './illuminantPower.ts'
import type { Spectrum } from './spectrum.ts'
import { type Tristimulus, tristimulus } from './tristimulus.ts'

/** A light by its relative power, with the name that messages call it by: a file, most likely. */
export interface NamedLight {
  readonly name: string
  readonly power: Spectrum
}

/** Does every patch that has a colour have a spectrum? A true black has none and needs none. */
const hasSpectra = (chart: Chart): boolean =>
  chart.wavelengths !== undefined &&
  chart.patches.some(({ reflectance }) => reflectance !== undefined) &&
  chart.patches.every(({ reflectance, value }) => reflectance !== undefined || value === undefined)

/**
 * The colours of a chart's patches under a light, from their spectra; `undefined` for a chart without.
 *
 * @param light a CIE illuminant by name, or a light by its power
 */
export function chartInLight(
  chart: Chart,
  light: string | NamedLight,
  observer: 2 | 10 = 2,
):
  | {
      /** Chromaticity of the light, from its power. */
      readonly white: Xy
      /** By patch name: XYZ, Y = 1 for a perfect diffuser. */
      readonly xyz: ReadonlyMap<string, Vec3>
      readonly onKnots: Tristimulus['onKnots']
    }
  | undefined {
  if (!hasSpectra(chart)) return undefined
  const power =
    typeof light !== 'string' ? light.power : isIlluminant(light) ? illuminantPower(light) : undefined
  if (power === undefined) return undefined
  const { white, xyz, onKnots } = tristimulus(power, observer)
  const nm = chart.wavelengths!
  return {
    white,
    xyz: new Map(
      chart.patches.flatMap(({ name, reflectance }) =>
        reflectance === undefined ? [] : [[name, xyz({ nm, values: reflectance })]],
      ),
    ),
    onKnots,
  }
}

/** XYZ (2° observer, Y = 1 for a perfect diffuser) of reflectances under a CIE illuminant. */
export function spectrumColour(illuminant: IlluminantName): (reflectance: Spectrum) => Vec3 {
  return tristimulus(illuminantPower(illuminant)).xyz
}
