import type { Mat3, Vec3 } from '../linear/mat3.ts'
import type { Design, DesignInput } from './design.ts'
import { splitAffine, splitAffineSlopes } from './splitAffine.ts'

/** `matrix` and `lift-gain-matrix`: y = B·x (+ t). θ row by row: B's row, then (with lift) its t. */
export function affineDesign({ samples }: DesignInput, withLift: boolean): Design {
  const { source } = samples
  const columns = withLift ? 4 : 3
  const parameters = 3 * columns
  const matrixOf = (theta: Float64Array): Mat3 => {
    const row = (c: number): Vec3 => [theta[c * columns]!, theta[c * columns + 1]!, theta[c * columns + 2]!]
    return [row(0), row(1), row(2)]
  }
  const offsetOf = (theta: Float64Array): Vec3 => (withLift ? [theta[3]!, theta[7]!, theta[11]!] : [0, 0, 0])
  return {
    kind: withLift ? 'lift-gain-matrix' : 'matrix',
    parameters,
    columns,
    // A match must have a positive gain in every channel: a white of the camera that comes out white.
    prepare: (theta) => keepsWhite(theta, columns),
    output(theta, p, out) {
      for (let c = 0; c < 3; c++) {
        const at = c * columns
        out[c] =
          theta[at]! * source[3 * p]! +
          theta[at + 1]! * source[3 * p + 1]! +
          theta[at + 2]! * source[3 * p + 2]! +
          (withLift ? theta[at + 3]! : 0)
      }
    },
    inputSlope(theta, _p, out) {
      for (let c = 0; c < 3; c++) {
        for (let k = 0; k < 3; k++) out[3 * c + k] = theta[c * columns + k]!
      }
    },
    chain(_theta, p, slope, jacobian, at) {
      for (let row = 0; row < 3; row++) {
        for (let c = 0; c < 3; c++) {
          const s = slope[3 * row + c]!
          const to = at + row * parameters + c * columns
          jacobian[to] = s * source[3 * p]!
          jacobian[to + 1] = s * source[3 * p + 1]!
          jacobian[to + 2] = s * source[3 * p + 2]!
          if (withLift) jacobian[to + 3] = s
        }
      }
    },
    linearRows: () =>
      Array.from({ length: samples.count }, (_, p) => [
        source[3 * p]!,
        source[3 * p + 1]!,
        source[3 * p + 2]!,
        ...(withLift ? [1] : []),
      ]),
    fromLinear: (solution) => Float64Array.from([0, 1, 2].flatMap((c) => solution.map((row) => row[c]!))),
    toModel(theta) {
      const split = splitAffine(matrixOf(theta), offsetOf(theta))
      return split === undefined ? undefined : { kind: withLift ? 'lift-gain-matrix' : 'matrix', ...split }
    },
    modelSlopes: (theta) => splitAffineSlopes(matrixOf(theta), offsetOf(theta), columns),
  }
}

/**
 * Are all of B⁻¹·1 positive, and B regular? By Cramer's rule, without allocating: this runs inside the fit. Orientation
 * is kept too (det B > 0): no real match turns the colours inside out.
 */
function keepsWhite(theta: Float64Array, columns: number): boolean {
  const a = theta[0]!
  const b = theta[1]!
  const c = theta[2]!
  const d = theta[columns]!
  const e = theta[columns + 1]!
  const f = theta[columns + 2]!
  const g = theta[2 * columns]!
  const h = theta[2 * columns + 1]!
  const i = theta[2 * columns + 2]!
  const det = a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g)
  return (
    det > 0 &&
    e * i - f * h + (c * h - b * i) + (b * f - c * e) > 0 &&
    f * g - d * i + (a * i - c * g) + (c * d - a * f) > 0 &&
    d * h - e * g + (b * g - a * h) + (a * e - b * d) > 0
  )
}
