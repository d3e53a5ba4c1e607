import {
  apply3,
  decodeRgb,
  type Encoding,
  fractionFromNominal,
  nominalFromFraction,
  type Primaries,
  primariesConversion,
  type Vec3,
} from '@isochip/core'

/**
 * Nominal code values of a camera → linear light in the working primaries, by way of a LUT.
 *
 * @param lut code values as fractions of the full range, in and out
 * @param bits of the recording; they set where a narrow range has its ends
 */
export function throughLut(
  lut: (code: Vec3) => Vec3,
  source: Pick<Encoding, 'range'>,
  output: Encoding,
  working: Primaries,
  bits: number,
): (code: Vec3) => Vec3 {
  const toWorking = primariesConversion(output.primaries, working)
  const into = (value: number) => fractionFromNominal(value, source.range, bits)
  const outOf = (value: number) => nominalFromFraction(value, output.range, bits)
  return (code) => {
    const [r, g, b] = lut([into(code[0]), into(code[1]), into(code[2])])
    return apply3(toWorking, decodeRgb(output, [outOf(r), outOf(g), outOf(b)]))
  }
}
