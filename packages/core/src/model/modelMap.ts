import { apply3, type Mat3, multiply3 } from '../linear/mat3.ts'
import { applyModel, type LightModel } from './model.ts'

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
  if (model.rootPolynomial !== undefined)
    return (r, g, b, out) => out.set(apply3(after, applyModel(model, [r, g, b])))
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
