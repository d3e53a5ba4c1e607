import {
  type ColourMap,
  type Encoding,
  type LightModel,
  modelMap,
  type Primaries,
  primariesConversion,
  type Vec3,
} from '@isochip/core'
import { singleTriple, type TripleMap } from '../lut/triples.ts'
import { type ChannelCurves, codeCurves, throughCurves } from './codeCurves.ts'

/** A match between two encodings: all that a LUT is made from. */
export interface EncodedMatch {
  /** What the camera records. */
  readonly source: Encoding
  /** Linear light in the camera's primaries → linear light in the working primaries. */
  readonly model: LightModel
  readonly working: Primaries
  /** What the LUT gives out. */
  readonly output: Encoding
  /** Bits per sample of the recording, 8…16, default 10: they set where narrow range has its black and its white. */
  readonly bits?: number
}

/** The chain of a match in its three steps, so that a baker can run the separable ones once a node and channel. */
export interface MatchSteps {
  /** Fraction of the full code range → linear light in the camera's primaries. */
  readonly decode: ChannelCurves
  /** Linear light in the camera's primaries → linear light in the output's primaries. */
  readonly light: ColourMap
  /** Linear light in the output's primaries → fraction of the full code range. */
  readonly encode: ChannelCurves
}

export function matchSteps({ source, model, working, output, bits = 10 }: EncodedMatch): MatchSteps {
  return {
    decode: codeCurves(source, bits).decode,
    // One matrix for the linear kinds, which is also what a CLF file of the match holds.
    light: modelMap(model, primariesConversion(working, output.primaries)),
    encode: codeCurves(output, bits).encode,
  }
}

/**
 * A match as a function from RGB code values to RGB code values, both as fractions of the full code range (code /
 * (2^bits − 1)), whatever the range of the encodings: this is what a LUT holds, because it is what a LUT is fed
 * with. Source range → nominal → decode → match → primaries of the output → encode → range of the output. Curves that
 * have a formula are within 1e-14 of it.
 */
export function matchTransform(match: EncodedMatch): (code: Vec3) => Vec3 {
  return singleTriple(matchTriples(match))
}

/** The same for many codes. */
export const matchTriples = (match: EncodedMatch): TripleMap => stepsTriples(matchSteps(match))

/** The same for the steps of a match, or of what is left of it after a curve. */
export function stepsTriples({ decode, light, encode }: MatchSteps): TripleMap {
  const y = new Float64Array(3)
  return (triples) => {
    throughCurves(decode, triples)
    for (let i = 0; i < triples.length; i += 3) {
      light(triples[i]!, triples[i + 1]!, triples[i + 2]!, y)
      triples[i] = y[0]!
      triples[i + 1] = y[1]!
      triples[i + 2] = y[2]!
    }
    throughCurves(encode, triples)
  }
}
