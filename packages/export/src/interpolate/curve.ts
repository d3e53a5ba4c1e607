import type { CurveLut } from '../lut/lut.ts'
import { latticePosition, type NumberArray } from './trilinear.ts'

/** Linear interpolation of a 1D LUT, per channel; writes three numbers to `out[at…at + 2]`. */
export function curve(
  lut: CurveLut,
  red: number,
  green: number,
  blue: number,
  out: NumberArray,
  at: number,
): void {
  out[at] = curveChannel(lut, red, 0)
  out[at + 1] = curveChannel(lut, green, 1)
  out[at + 2] = curveChannel(lut, blue, 2)
}

function curveChannel({ size, domainMin, domainMax, table }: CurveLut, x: number, c: 0 | 1 | 2): number {
  const position = latticePosition(x, domainMin[c], domainMax[c], size)
  const i = Math.min(Math.floor(position), size - 2)
  const f = position - i
  return table[3 * i + c]! * (1 - f) + table[3 * i + 3 + c]! * f
}
