import type { Vec3 } from '@isochip/core'
import type { Lut } from '../lut/lut.ts'
import { singleTriple, type TripleMap } from '../lut/triples.ts'
import { curve } from './curve.ts'
import { tetrahedral } from './tetrahedral.ts'
import { trilinear } from './trilinear.ts'

/** How to interpolate between the nodes of a 3D lattice. A 1D LUT is always interpolated linearly. */
export type Interpolation = 'tetrahedral' | 'trilinear'

/** A LUT as a function from RGB to RGB, in double precision. For pictures use `applyLut`. */
export function lutTransform(lut: Lut, interpolation: Interpolation = 'tetrahedral'): (code: Vec3) => Vec3 {
  return singleTriple(lutTriples(lut, interpolation))
}

/** The same for many colours. */
export function lutTriples(lut: Lut, interpolation: Interpolation): TripleMap {
  const lattice = interpolation === 'trilinear' ? trilinear : tetrahedral
  return (triples) => {
    for (let i = 0; i < triples.length; i += 3) {
      if (lut.kind !== 'lattice') {
        const of = lut.kind === 'curve' ? lut : lut.curve
        curve(of, triples[i]!, triples[i + 1]!, triples[i + 2]!, triples, i)
      }
      if (lut.kind !== 'curve') {
        const of = lut.kind === 'lattice' ? lut : lut.lattice
        lattice(of, triples[i]!, triples[i + 1]!, triples[i + 2]!, triples, i)
      }
    }
  }
}
