import { exp, pow } from '@isochip/core'
import { lightTables } from '../data/lightTables.ts'
import { grid, resample, type Spectrum, sampled } from './grid.ts'

/** The CIE illuminants that the package has tables of. */
export type LightName = keyof typeof lightTables

/**
 * A light: a CIE illuminant; a black body of so many kelvin; or an illuminant that an ideal conversion filter, the
 * ratio of two black bodies, takes from the one temperature to the other.
 */
export type Light =
  | LightName
  | {
      readonly kelvin: number
      readonly from?: { readonly illuminant: LightName; readonly kelvin: number }
    }

export const lightNames = Object.keys(lightTables) as LightName[]

/** Second radiation constant, m·K: CODATA 2018. */
const c2 = 1.438776877e-2

/** Relative spectral power. A black body is scaled to 1 at 560 nm (Planck's law). */
export function lightPower(light: Light): Spectrum {
  if (typeof light === 'string') return resample(lightTables[light], grid.start, grid.step, 'hold')
  const { kelvin, from } = light
  const body = blackBody(kelvin)
  if (from === undefined) return body
  const before = blackBody(from.kelvin)
  return lightPower(from.illuminant).map((power, i) => (power * body[i]!) / before[i]!)
}

function blackBody(kelvin: number): Spectrum {
  const exitance = (nm: number) => pow(560 / nm, 5) / (exp(c2 / (nm * 1e-9 * kelvin)) - 1)
  const scale = exitance(560)
  return sampled((nm) => exitance(nm) / scale)
}
