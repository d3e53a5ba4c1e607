import type { LatticeLut } from '../lut/lut.ts'
import { latticePosition, type NumberArray } from './trilinear.ts'

/**
 * Tetrahedral interpolation: each cell is cut into six tetrahedra along its grey diagonal, so that neutrals are
 * interpolated between two neutral nodes only. Walks from the cell's first node to its last along the axes in the
 * order of falling fractions; each step has the weight of that axis' fraction. Writes three numbers to
 * `out[at…at + 2]`.
 */
export function tetrahedral(
  lut: LatticeLut,
  red: number,
  green: number,
  blue: number,
  out: NumberArray,
  at: number,
): void {
  const { size, domainMin, domainMax, tableRedFastest: t } = lut
  const pr = latticePosition(red, domainMin[0], domainMax[0], size)
  const pg = latticePosition(green, domainMin[1], domainMax[1], size)
  const pb = latticePosition(blue, domainMin[2], domainMax[2], size)
  const last = size - 2
  const ir = Math.min(Math.floor(pr), last)
  const ig = Math.min(Math.floor(pg), last)
  const ib = Math.min(Math.floor(pb), last)
  const fr = pr - ir
  const fg = pg - ig
  const fb = pb - ib
  const stepR = 3
  const stepG = 3 * size
  const stepB = stepG * size
  const all = stepR + stepG + stepB
  const base = stepR * ir + stepG * ig + stepB * ib

  const most = Math.max(fr, fg, fb)
  const least = Math.min(fr, fg, fb)
  const middle = Math.max(Math.min(fr, fg), Math.min(Math.max(fr, fg), fb))
  const first = base + (fr === most ? stepR : fg === most ? stepG : stepB)
  const second = base + all - (fb === least ? stepB : fg === least ? stepG : stepR)
  const w0 = 1 - most
  const w1 = most - middle
  const w2 = middle - least
  for (let c = 0; c < 3; c++) {
    out[at + c] = w0 * t[base + c]! + w1 * t[first + c]! + w2 * t[second + c]! + least * t[base + all + c]!
  }
}
