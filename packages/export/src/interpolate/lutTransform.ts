import type { Vec3 } from '@isochip/core'
import type { Lut } from '../lut/lut.ts'
import { curve } from './curve.ts'
import { tetrahedral } from './tetrahedral.ts'
import { trilinear } from './trilinear.ts'

/** How to interpolate between the nodes of a 3D lattice. A 1D LUT is always interpolated linearly. */
export type Interpolation = 'tetrahedral' | 'trilinear'

/** A LUT as a function from RGB to RGB, in double precision. For pictures use `applyLut`. */
export function lutTransform(lut: Lut, interpolation: Interpolation = 'tetrahedral'): (code: Vec3) => Vec3 {
  const lattice = interpolation === 'trilinear' ? trilinear : tetrahedral
  const out: [number, number, number] = [0, 0, 0]
  return (code) => {
    if (lut.kind === 'curve') curve(lut, code[0], code[1], code[2], out, 0)
    else if (lut.kind === 'lattice') lattice(lut, code[0], code[1], code[2], out, 0)
    else {
      curve(lut.curve, code[0], code[1], code[2], out, 0)
      lattice(lut.lattice, out[0], out[1], out[2], out, 0)
    }
    return [out[0], out[1], out[2]]
  }
}
