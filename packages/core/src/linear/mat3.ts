/** Three numbers: RGB, XYZ or Lab as the name of the variable says. */
export type Vec3 = readonly [number, number, number]

/** 3×3, row-major: `m[row][column]`. Vectors are columns, so `apply(m, v)` is m·v. */
export type Mat3 = readonly [Vec3, Vec3, Vec3]

/** Each of the three numbers by a function. */
export const map3 = (v: Vec3, of: (value: number, index: 0 | 1 | 2) => number): Vec3 => [
  of(v[0], 0),
  of(v[1], 1),
  of(v[2], 2),
]

/** The matrix that changes nothing. */
export const identity3: Mat3 = [
  [1, 0, 0],
  [0, 1, 0],
  [0, 0, 1],
]

/** m·v. */
export function apply3(m: Mat3, v: Vec3): Vec3 {
  return [
    m[0][0] * v[0] + m[0][1] * v[1] + m[0][2] * v[2],
    m[1][0] * v[0] + m[1][1] * v[1] + m[1][2] * v[2],
    m[2][0] * v[0] + m[2][1] * v[1] + m[2][2] * v[2],
  ]
}

/** a·b. */
export function multiply3(a: Mat3, b: Mat3): Mat3 {
  const row = (r: Vec3): Vec3 => [
    r[0] * b[0][0] + r[1] * b[1][0] + r[2] * b[2][0],
    r[0] * b[0][1] + r[1] * b[1][1] + r[2] * b[2][1],
    r[0] * b[0][2] + r[1] * b[1][2] + r[2] * b[2][2],
  ]
  return [row(a[0]), row(a[1]), row(a[2])]
}

/** The matrix with `d` on its diagonal and zeros elsewhere. */
export function diagonal3(d: Vec3): Mat3 {
  return [
    [d[0], 0, 0],
    [0, d[1], 0],
    [0, 0, d[2]],
  ]
}

/** The volume that the rows span, with its sign. */
export function determinant3(m: Mat3): number {
  return (
    m[0][0] * (m[1][1] * m[2][2] - m[1][2] * m[2][1]) -
    m[0][1] * (m[1][0] * m[2][2] - m[1][2] * m[2][0]) +
    m[0][2] * (m[1][0] * m[2][1] - m[1][1] * m[2][0])
  )
}

/** Inverse by the adjugate. `undefined` when m is singular to working precision (relative to its own size). */
export function invert3(m: Mat3): Mat3 | undefined {
  const det = determinant3(m)
  const rowSize = (r: Vec3) => Math.sqrt(r[0] * r[0] + r[1] * r[1] + r[2] * r[2])
  const size = rowSize(m[0]) * rowSize(m[1]) * rowSize(m[2])
  // |det| is the volume that the rows span; beside the product of their lengths it is free of scale.
  if (!(Math.abs(det) > 1e-13 * size)) return undefined
  const [[a, b, c], [d, e, f], [g, h, i]] = m
  return [
    [(e * i - f * h) / det, (c * h - b * i) / det, (b * f - c * e) / det],
    [(f * g - d * i) / det, (a * i - c * g) / det, (c * d - a * f) / det],
    [(d * h - e * g) / det, (b * g - a * h) / det, (a * e - b * d) / det],
  ]
}

/** Inverse of a matrix that is regular by construction; anything else is a fault of ours. */
export function inverse3(m: Mat3): Mat3 {
  const inverse = invert3(m)
  if (inverse === undefined) throw new Error(`matrix without inverse: ${JSON.stringify(m)}`)
  return inverse
}
