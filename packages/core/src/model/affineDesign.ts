import type { Mat3, Vec3 } from '../linear/mat3.ts'
import { type Design, type DesignInput, outputByOutput } from './design.ts'
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
      const x = source[3 * p]!
      const y = source[3 * p + 1]!
      const z = source[3 * p + 2]!
      for (let c = 0, at = 0; c < 3; c++, at += columns)
        out[c] = theta[at]! * x + theta[at + 1]! * y + theta[at + 2]! * z + (withLift ? theta[at + 3]! : 0)
    },
    inputSlope(theta, _p, out) {
      for (let c = 0; c < 3; c++) {
        for (let k = 0; k < 3; k++) out[3 * c + k] = theta[c * columns + k]!
      }
    },
    chain(_theta, p, slope, jacobian, at) {
      const x = source[3 * p]!
      const y = source[3 * p + 1]!
      const z = source[3 * p + 2]!
      for (let i = 0, to = at; i < 9; i++, to += columns) {
        const s = slope[i]!
        jacobian[to] = s * x
        jacobian[to + 1] = s * y
        jacobian[to + 2] = s * z
        if (withLift) jacobian[to + 3] = s
      }
    },
    ...(withLift
      ? {
          products: (r: Float64Array, J: Float64Array, normal: Float64Array, gradient: Float64Array) =>
            addAffineProducts(source, r, J, normal, gradient),
        }
      : {}),
    linear: {
      columns,
      rowsPerPatch: 1,
      rows(out, width) {
        for (let p = 0; p < samples.count; p++) {
          const at = p * width
          for (let k = 0; k < 3; k++) out[at + k] = source[3 * p + k]!
          if (withLift) out[at + 3] = 1
        }
      },
      theta: (solution) => outputByOutput(solution, parameters),
    },
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

/**
 * Adds JᵀJ (upper half) and Jᵀr of patches whose three rows of J are slopes by the output times (x, y, z, 1): the sum of SᵀS ⊗
 * (x, y, z, 1)ᵀ(x, y, z, 1), S the 3×3 slopes, which stand in J where the 1 is.
 */
function addAffineProducts(
  source: Float64Array,
  r: Float64Array,
  J: Float64Array,
  normal: Float64Array,
  gradient: Float64Array,
): void {
  // One block of the output's channels after another: its sums stay out of the arrays until all patches are in them.
  for (let c = 0; c < 12; c += 4) {
    for (let e = c; e < 12; e += 4) {
      let one = 0
      let ofX = 0
      let ofY = 0
      let ofZ = 0
      let xx = 0
      let xy = 0
      let xz = 0
      let yy = 0
      let yz = 0
      let zz = 0
      for (let i = 0; i + 2 < r.length; i += 3) {
        const at = i * 12 + 3
        const s =
          J[at + c]! * J[at + e]! + J[at + 12 + c]! * J[at + 12 + e]! + J[at + 24 + c]! * J[at + 24 + e]!
        const x = source[i]!
        const y = source[i + 1]!
        const z = source[i + 2]!
        one += s
        ofX += s * x
        ofY += s * y
        ofZ += s * z
        xx += s * (x * x)
        xy += s * (x * y)
        xz += s * (x * z)
        yy += s * (y * y)
        yz += s * (y * z)
        zz += s * (z * z)
      }
      const first = c * 12 + e
      const second = first + 12
      const third = second + 12
      const fourth = third + 12
      normal[first]! += xx
      normal[first + 1]! += xy
      normal[first + 2]! += xz
      normal[first + 3]! += ofX
      normal[second + 1]! += yy
      normal[second + 2]! += yz
      normal[second + 3]! += ofY
      normal[third + 2]! += zz
      normal[third + 3]! += ofZ
      normal[fourth + 3]! += one
      if (e === c) continue
      normal[second]! += xy
      normal[third]! += xz
      normal[third + 1]! += yz
      normal[fourth]! += ofX
      normal[fourth + 1]! += ofY
      normal[fourth + 2]! += ofZ
    }
    let one = 0
    let ofX = 0
    let ofY = 0
    let ofZ = 0
    for (let i = 0; i + 2 < r.length; i += 3) {
      const at = i * 12 + 3 + c
      const along = J[at]! * r[i]! + J[at + 12]! * r[i + 1]! + J[at + 24]! * r[i + 2]!
      one += along
      ofX += along * source[i]!
      ofY += along * source[i + 1]!
      ofZ += along * source[i + 2]!
    }
    gradient[c]! += ofX
    gradient[c + 1]! += ofY
    gradient[c + 2]! += ofZ
    gradient[c + 3]! += one
  }
}
