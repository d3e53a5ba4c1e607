import { apply3, type Mat3, multiply3, type Vec3 } from '../linear/mat3.ts'
import { adaptation } from './adaptation.ts'
import { illuminantWhites } from './illuminants.ts'
import { type Lab65, labFromXyz65 } from './lab.ts'
import { type Primaries, resolvePrimaries, rgbToXyz } from './primaries.ts'

/** Linear RGB in the given primaries → XYZ relative to D65 (Bradford where the white is another). */
export function rgbToXyz65(primaries: Primaries): Mat3 {
  return multiply3(adaptation(primaries.white, illuminantWhites.D65, 'bradford'), rgbToXyz(primaries))
}

/** A function from linear RGB in the given primaries to CIELAB D65. Scene light: no display in between. */
export function labOfLinear(primaries: Primaries): (rgb: Vec3) => Lab65 {
  const toXyz65 = rgbToXyz65(primaries)
  return (rgb) => labFromXyz65(apply3(toXyz65, rgb))
}

const bt709ToXyz65 = rgbToXyz65(resolvePrimaries('bt709'))

/** Linear light in BT.709 primaries → XYZ relative to D65. */
export function xyzFromLinear65(rgb: Vec3): Vec3 {
  return apply3(bt709ToXyz65, rgb)
}
