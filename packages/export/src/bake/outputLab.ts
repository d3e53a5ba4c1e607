import {
  decodeRgb,
  type Encoding,
  type Lab65,
  labOfLinear,
  nominalFromFraction,
  type Vec3,
} from '@isochip/core'

/**
 * CIELAB (D65) of output codes as fractions of the code range: decoded with the output's own curve, scene light for a
 * camera curve and display light for a display's. Codes are cut to 0…1 first, which is what a file holds.
 */
export function outputLab(output: Encoding, bits = 10): (code: Vec3) => Lab65 {
  const lab = labOfLinear(output.primaries)
  const nominal = (x: number) => nominalFromFraction(Math.min(Math.max(x, 0), 1), output.range, bits)
  return (code) => lab(decodeRgb(output, [nominal(code[0]), nominal(code[1]), nominal(code[2])]))
}
