import type { Vec3 } from '@isochip/core'
import type { LatticeLut } from '../lut/lut.ts'
import { tripleMap } from '../lut/triples.ts'
import { type BakeOptions, bakeLattice } from './bakeLattice.ts'
import { bakeMatch } from './bakeMatch.ts'
import { type BoundedOptions, boundedTriples } from './bounded/boundedLattice.ts'
import { type EncodedMatch, matchTriples } from './matchTransform.ts'

/** What the nodes of a lattice may be: any number, or none beyond 0…1. */
export type NodeKind = 'float' | 'bounded'

export interface NodeOptions {
  /** `bounded`: nodes within 0…1, for boxes that store integers, as `boundedLattice` makes them. Default `float`. */
  readonly nodes?: NodeKind
  /** With bounded nodes: whole steps of so many bits, 8…16. */
  readonly nodeBits?: number
}

/** A match as a lattice with nodes of either kind. */
export function bakeNodes(match: EncodedMatch, options: BakeOptions & NodeOptions): LatticeLut {
  const { nodes, nodeBits, ...baking } = options
  return nodes === 'bounded'
    ? boundedTriples(matchTriples(match), inSteps(baking, nodeBits))
    : bakeMatch(match, baking)
}

/** The same of any transform. */
export function bakeTransformNodes(
  transform: (code: Vec3) => Vec3,
  options: BakeOptions & NodeOptions,
): LatticeLut {
  const { nodes, nodeBits, ...baking } = options
  return nodes === 'bounded'
    ? boundedTriples(tripleMap(transform), inSteps(baking, nodeBits))
    : bakeLattice(transform, baking)
}

const inSteps = (baking: BakeOptions, bits: number | undefined): BoundedOptions =>
  bits === undefined ? baking : { ...baking, bits }
