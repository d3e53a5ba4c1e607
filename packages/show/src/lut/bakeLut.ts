import type { Vec3 } from '@isochip/core'
import { bakeMatch, type EncodedMatch, type LatticeLut } from '@isochip/export'
import { interpolationError } from './interpolationError.ts'

export interface BakedLut {
  readonly lut: LatticeLut
  /** ΔE00 between the match and the LUT. */
  readonly interpolation: { readonly mean: number; readonly max: number }
}

/** Lattices that `auto` tries: sizes that every program takes. */
const sizes = [17, 33, 65] as const
/** ΔE00 that nobody sees, and that no chart in practice can be measured to. */
const unseen = 0.1

/**
 * Bakes a match; `auto` takes the smallest lattice whose largest difference from the match is below 0.1 ΔE00.
 *
 * @param codes nominal code values of the patches, between which the LUT is tried
 */
export function bakeLut(
  match: EncodedMatch,
  size: number | 'auto',
  title: string,
  codes: readonly Vec3[],
): BakedLut {
  // A title stands between quotation marks, on one line.
  const plain = title.replace(/"/g, "'").replace(/\p{Cc}+/gu, ' ')
  const bake = (nodes: number): BakedLut => {
    const lut = bakeMatch(match, { size: nodes, title: plain })
    return { lut, interpolation: interpolationError(match, lut, codes) }
  }
  if (size !== 'auto') return bake(size)
  const [first, ...larger] = sizes
  let best = bake(first)
  for (const nodes of larger) {
    if (best.interpolation.max < unseen) break
    best = bake(nodes)
  }
  return best
}
