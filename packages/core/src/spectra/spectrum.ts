/** A function of the wavelength: values at wavelengths in nm, ascending. Between them it is interpolated. */
export interface Spectrum {
  readonly nm: readonly number[]
  readonly values: readonly number[]
}
