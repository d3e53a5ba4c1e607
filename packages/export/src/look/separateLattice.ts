import type { Mat3, Vec3 } from '@isochip/core'
import type { CurveLut, LatticeLut } from '../lut/lut.ts'

/** A lattice that is no more than a 1D LUT and a matrix after it: out = matrix · curve(in) + offset. */
export interface SeparatedLattice {
  /** From 0 at the first node to 1 at the last, per channel, on the lattice's domain. */
  readonly curve: CurveLut
  readonly matrix: Mat3
  readonly offset: Vec3
  /** Largest difference at a node. */
  readonly error: number
}

/**
 * Takes a lattice apart into curves and a matrix. What each axis does alone gives its curve and its column of the
 * matrix; the rest of the lattice then shows whether there is more to it.
 *
 * @returns `undefined` where more than `tolerance` (default 1e-5) is left at some node.
 */
export function separateLattice(lut: LatticeLut, tolerance = 1e-5): SeparatedLattice | undefined {
  const { size, tableRedFastest: t } = lut
  const steps = [3, 3 * size, 3 * size * size] as const
  const last = size - 1
  const offset: Vec3 = [t[0]!, t[1]!, t[2]!]
  const table = new Float64Array(3 * size)
  const column = (axis: 0 | 1 | 2): Vec3 => {
    const end = last * steps[axis]
    const v: Vec3 = [t[end]! - offset[0], t[end + 1]! - offset[1], t[end + 2]! - offset[2]]
    const square = v[0] ** 2 + v[1] ** 2 + v[2] ** 2
    for (let i = 0; i < size; i++) {
      const at = i * steps[axis]
      const along =
        (t[at]! - offset[0]) * v[0] + (t[at + 1]! - offset[1]) * v[1] + (t[at + 2]! - offset[2]) * v[2]
      // An axis that changes nothing has no curve of its own.
      table[3 * i + axis] = square === 0 ? i / last : along / square
    }
    return v
  }
  const [r, g, b] = [column(0), column(1), column(2)]
  const matrix: Mat3 = [
    [r[0], g[0], b[0]],
    [r[1], g[1], b[1]],
    [r[2], g[2], b[2]],
  ]
  let error = 0
  let at = 0
  for (let k = 0; k < size; k++) {
    for (let j = 0; j < size; j++) {
      for (let i = 0; i < size; i++) {
        for (const row of [0, 1, 2] as const) {
          const m = matrix[row]
          const value =
            offset[row] + m[0] * table[3 * i]! + m[1] * table[3 * j + 1]! + m[2] * table[3 * k + 2]!
          error = Math.max(error, Math.abs(value - t[at++]!))
        }
      }
    }
  }
  if (!(error <= tolerance)) return undefined
  const { domainMin, domainMax } = lut
  return { curve: { kind: 'curve', size, domainMin, domainMax, table }, matrix, offset, error }
}
