import { apply3, diagonal3, identity3, inverse3, type Mat3, multiply3 } from '../linear/mat3.ts'
import { type Xy, xyzFromXy } from './illuminants.ts'

/** Chromatic adaptation transforms. */
export type Cat = 'cat16' | 'bradford'

const cones: Record<Cat, Mat3> = {
  /** Li et al., Comprehensive color solutions: CAM16, CAT16, and CAM16-UCS, Color Res. Appl. 42 (2017). */
  cat16: [
    [0.401288, 0.650173, -0.051461],
    [-0.250268, 1.204414, 0.045854],
    [-0.002079, 0.048952, 0.953127],
  ],
  /** Lam 1985, as printed in ICC.1:2022, annex E. */
  bradford: [
    [0.8951, 0.2664, -0.1614],
    [-0.7502, 1.7135, 0.0367],
    [0.0389, -0.0685, 1.0296],
  ],
}

/**
 * XYZ under the white `from` → the corresponding XYZ under the white `to`, full adaptation: von Kries scaling in
 * the transform's cone space. Exact: `from` goes to `to`.
 */
export function adaptation(from: Xy, to: Xy, cat: Cat): Mat3 {
  if (from[0] === to[0] && from[1] === to[1]) return identity3
  const m = cones[cat]
  const a = apply3(m, xyzFromXy(from))
  const b = apply3(m, xyzFromXy(to))
  return multiply3(inverse3(m), multiply3(diagonal3([b[0] / a[0], b[1] / a[1], b[2] / a[2]]), m))
}
