import { type Mat3, multiply3 } from '../linear/mat3.ts'
import type { LightModel, MatchModel } from './model.ts'
import { rootPolynomialTerms, rootPolynomialValues } from './rootPolynomial.ts'

/** A colour, red, green, blue, into the first three numbers of `out`. */
export type ColourMap = (r: number, g: number, b: number, out: Float64Array) => void

/**
 * A match and a matrix after it as one map, for the many colours of a picture or a lattice: no lists of three are made
 * for a linear kind, whose two matrices are one.
 *
 * @param after on the working primaries' linear light, such as the conversion to those of an output
 * @returns linear light in the camera's primaries → what `after` makes of the matched light
 */
export function modelMap(model: LightModel, after: Mat3): ColourMap {
  if (model.kind === 'conversion') {
    const [x, y, z] = multiply3(after, model.matrix)
    return (r, g, b, out) => {
      out[0] = x[0] * r + x[1] * g + x[2] * b
      out[1] = y[0] * r + y[1] * g + y[2] * b
      out[2] = z[0] * r + z[1] * g + z[2] * b
    }
  }
  if (model.rootPolynomial !== undefined) return rootPolynomialMap(model, model.rootPolynomial, after)
  const { lift, gain } = model
  const [x, y, z] = multiply3(after, model.matrix)
  return (r, g, b, out) => {
    const red = gain[0] * (r + lift[0])
    const green = gain[1] * (g + lift[1])
    const blue = gain[2] * (b + lift[2])
    out[0] = x[0] * red + x[1] * green + x[2] * blue
    out[1] = y[0] * red + y[1] * green + y[2] * blue
    out[2] = z[0] * red + z[1] * green + z[2] * blue
  }
}

function rootPolynomialMap(
  { kind, lift, gain, matrix }: MatchModel,
  rows: NonNullable<MatchModel['rootPolynomial']>,
  after: Mat3,
): ColourMap {
  const terms = rootPolynomialTerms(kind)
  const values = new Float64Array(terms.length)
  return (r, g, b, out) => {
    const red = gain[0] * (r + lift[0])
    const green = gain[1] * (g + lift[1])
    const blue = gain[2] * (b + lift[2])
    rootPolynomialValues(terms, red, green, blue, values, 0)
    const output = (c: 0 | 1 | 2) => {
      let extra = 0
      for (let i = 0; i < values.length; i++) extra += rows[c][i]! * values[i]!
      return matrix[c][0] * red + matrix[c][1] * green + matrix[c][2] * blue + extra
    }
    const x = output(0)
    const y = output(1)
    const z = output(2)
    out[0] = after[0][0] * x + after[0][1] * y + after[0][2] * z
    out[1] = after[1][0] * x + after[1][1] * y + after[1][2] * z
    out[2] = after[2][0] * x + after[2][1] * y + after[2][2] * z
  }
}
