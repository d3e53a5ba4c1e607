import { encodeRgb, resolveEncoding, type Vec3 } from '@isochip/core'

const bt709 = resolveEncoding('bt709')

/** Linear light in BT.709 primaries → R′G′B′ by the OETF of BT.709-6, item 1.2. Not clipped. */
export function codeOfLight(light: Vec3): Vec3 {
  return encodeRgb(bt709, light)
}
