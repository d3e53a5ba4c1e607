import {
  decodeRgb,
  deltaE00,
  type Encoding,
  fractionFromNominal,
  labOfLinear,
  nominalFromFraction,
  type Vec3,
} from '@isochip/core'
import { type EncodedMatch, type Lut, lutTransform, matchTransform } from '@isochip/export'

/** Points between the patches at which a LUT is tried, besides the patches themselves. */
const points = 1000

/**
 * By how much a LUT differs from the match that it was baked from: ΔE00 (scene light of the output) at the patches,
 * and at points spread evenly over the box of code values that the patches span.
 *
 * @param codes nominal code values of the patches
 */
export function interpolationError(
  match: EncodedMatch,
  lut: Lut,
  codes: readonly Vec3[],
): { mean: number; max: number } {
  const bits = match.bits ?? 10
  const exact = matchTransform(match)
  const interpolated = lutTransform(lut)
  const lab = outputLab(match.output, bits)
  const patches = codes.map((code): Vec3 => {
    const fraction = (v: number) => Math.min(1, Math.max(0, fractionFromNominal(v, match.source.range, bits)))
    return [fraction(code[0]), fraction(code[1]), fraction(code[2])]
  })
  const low = [0, 1, 2].map((c) => Math.min(...patches.map((p) => p[c]!)))
  const high = [0, 1, 2].map((c) => Math.max(...patches.map((p) => p[c]!)))
  // Additive recurrence with the powers of the plastic-number analogue of three dimensions: as even as a lattice,
  // and never in step with one.
  const step = [0.8191725133961645, 0.671043606703789, 0.5497004779019703]
  const between = Array.from({ length: points }, (_, i): Vec3 => {
    const at = (c: number) => low[c]! + (high[c]! - low[c]!) * ((0.5 + (i + 1) * step[c]!) % 1)
    return [at(0), at(1), at(2)]
  })
  const differences = [...patches, ...between].map((code) =>
    deltaE00(lab(exact(code)), lab(interpolated(code))),
  )
  return {
    mean: differences.reduce((sum, value) => sum + value, 0) / differences.length,
    max: Math.max(...differences),
  }
}

function outputLab(output: Encoding, bits: number) {
  const toLab = labOfLinear(output.primaries)
  const nominal = (v: number) => nominalFromFraction(v, output.range, bits)
  return ([r, g, b]: Vec3) => toLab(decodeRgb(output, [nominal(r), nominal(g), nominal(b)]))
}
