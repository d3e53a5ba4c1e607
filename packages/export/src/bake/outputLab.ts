import {
  type Encoding,
  illuminantWhites,
  type Lab65,
  labFromXyz65,
  rgbToXyz65,
  type Vec3,
  xyzFromXy,
} from '@isochip/core'
import { singleTriple, type TripleMap } from '../lut/triples.ts'
import { codeCurves, throughCurves } from './codeCurves.ts'
import { PiecewisePolynomial } from './piecewisePolynomial.ts'

/**
 * CIELAB (D65) of output codes as fractions of the code range: decoded with the output's own curve, scene light for a
 * camera curve and display light for a display's. Codes are cut to 0…1 first, which is what a file holds.
 */
export function outputLab(output: Encoding, bits = 10): (code: Vec3) => Lab65 {
  return singleTriple(outputLabs(output, bits))
}

/** f of CIE 15:2018, section 8.2.1: a cube root with a straight toe. */
const root = new PiecewisePolynomial((t) => (labFromXyz65([0, t, 0])[0] + 16) / 116)
const white = xyzFromXy(illuminantWhites.D65)

/** The same for many codes: they become L*, a*, b*. */
export function outputLabs(output: Encoding, bits = 10): TripleMap {
  const { decode } = codeCurves(output, bits)
  const [x, y, z] = rgbToXyz65(output.primaries)
  return (triples) => {
    for (let i = 0; i < triples.length; i++) triples[i] = Math.min(Math.max(triples[i]!, 0), 1)
    throughCurves(decode, triples)
    for (let i = 0; i < triples.length; i += 3) {
      const r = triples[i]!
      const g = triples[i + 1]!
      const b = triples[i + 2]!
      triples[i] = (x[0] * r + x[1] * g + x[2] * b) / white[0]
      triples[i + 1] = (y[0] * r + y[1] * g + y[2] * b) / white[1]
      triples[i + 2] = (z[0] * r + z[1] * g + z[2] * b) / white[2]
    }
    root.each(triples, 0, 1)
    for (let i = 0; i < triples.length; i += 3) {
      const fx = triples[i]!
      const fy = triples[i + 1]!
      const fz = triples[i + 2]!
      triples[i] = 116 * fy - 16
      triples[i + 1] = 500 * (fx - fy)
      triples[i + 2] = 200 * (fy - fz)
    }
  }
}
