import type { LatticeLut } from '../lut/lut.ts'

/** Where a result goes. */
export type NumberArray = Float64Array | Float32Array | number[]

/**
 * Position of an input on an axis of `size` nodes, 0…size − 1. Input outside the domain is clamped to it; NaN
 * counts as the lower end, so that no picture can make a LUT answer NaN.
 */
export function latticePosition(input: number, min: number, max: number, size: number): number {
  const position = ((input - min) / (max - min)) * (size - 1)
  if (!(position > 0)) return 0
  return Math.min(position, size - 1)
}

/** Trilinear interpolation of the lattice at (red, green, blue); writes three numbers to `out[at…at + 2]`. */
export function trilinear(
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
  const stepG = 3 * size
  const stepB = stepG * size
  const base = 3 * ir + stepG * ig + stepB * ib
  for (let c = 0; c < 3; c++) {
    const i = base + c
    const c00 = t[i]! * (1 - fr) + t[i + 3]! * fr
    const c10 = t[i + stepG]! * (1 - fr) + t[i + stepG + 3]! * fr
    const c01 = t[i + stepB]! * (1 - fr) + t[i + stepB + 3]! * fr
    const c11 = t[i + stepB + stepG]! * (1 - fr) + t[i + stepB + stepG + 3]! * fr
    out[at + c] = (c00 * (1 - fg) + c10 * fg) * (1 - fb) + (c01 * (1 - fg) + c11 * fg) * fb
  }
}
