import {
  apply3,
  applyModel,
  type Channel,
  type Encoding,
  fractionFromNominal,
  type Mat3,
  type MatchModel,
  multiply3,
  nominalFromFraction,
  type Primaries,
  primariesConversion,
  type Vec3,
} from '@isochip/core'

/** A match between two encodings: all that a LUT is made from. */
export interface EncodedMatch {
  /** What the camera records. */
  readonly source: Encoding
  /** Linear light in the camera's primaries → linear light in the working primaries. */
  readonly model: MatchModel
  readonly working: Primaries
  /** What the LUT gives out. */
  readonly output: Encoding
  /** Bits per sample of the recording, 8…16, default 10: they set where narrow range has its black and its white. */
  readonly bits?: number
}

/** The chain of a match in its three steps, so that a baker can run the separable ones once a node and channel. */
export interface MatchSteps {
  /** Fraction of the full code range → linear light in the camera's primaries. */
  readonly decode: (fraction: number, channel: Channel) => number
  /** Linear light in the camera's primaries → linear light in the output's primaries. */
  readonly light: (camera: Vec3) => Vec3
  /** The same in numbers, matrix · gain · (camera + lift), where it is linear. */
  readonly linear?: { readonly matrix: Mat3; readonly gain: Vec3; readonly lift: Vec3 }
  /** Linear light in the output's primaries → fraction of the full code range. */
  readonly encode: (light: number, channel: Channel) => number
}

export function matchSteps({ source, model, working, output, bits = 10 }: EncodedMatch): MatchSteps {
  const toOutput = primariesConversion(working, output.primaries)
  const linear = model.rootPolynomial === undefined
  // For the linear kinds the two matrices are one, which is also what a CLF file of the match holds.
  const merged = multiply3(toOutput, model.matrix)
  const { lift, gain } = model
  return {
    decode: (fraction, channel) =>
      source.transfer.decode(nominalFromFraction(fraction, source.range, bits), channel),
    light: linear
      ? (x) =>
          apply3(merged, [gain[0] * (x[0] + lift[0]), gain[1] * (x[1] + lift[1]), gain[2] * (x[2] + lift[2])])
      : (x) => apply3(toOutput, applyModel(model, x)),
    ...(linear ? { linear: { matrix: merged, gain, lift } } : {}),
    encode: (light, channel) =>
      fractionFromNominal(output.transfer.encode(light, channel), output.range, bits),
  }
}

/**
 * A match as a function from RGB code values to RGB code values, both as fractions of the full code range (code /
 * (2^bits − 1)), whatever the range of the encodings: this is what a LUT holds, because it is what a LUT is fed
 * with. Source range → nominal → decode → match → primaries of the output → encode → range of the output.
 */
export function matchTransform(match: EncodedMatch): (code: Vec3) => Vec3 {
  const { decode, light, encode } = matchSteps(match)
  return (code) => {
    const y = light([decode(code[0], 0), decode(code[1], 1), decode(code[2], 2)])
    return [encode(y[0], 0), encode(y[1], 1), encode(y[2], 2)]
  }
}
