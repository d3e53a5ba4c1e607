import { given, IsochipError, type Vec3, type Warning } from '@isochip/core'
import type { LatticeLut, ShapedLut } from '../lut/lut.ts'
import { bakeNodes, type NodeOptions } from './bakeNodes.ts'
import { bakeShaped } from './bakeShaped.ts'
import { lutExpectation } from './lutExpectation.ts'
import { type EncodedMatch, matchTriples } from './matchTransform.ts'
import { interpolationError, type LutQuality, measureAgainst, type RegionDifferences } from './measureLut.ts'
import { outputLabs } from './outputLab.ts'

export interface ChooseOptions extends NodeOptions {
  /** A size, or `auto` (default): the first of `sizes` whose error is within `limit`, else the last. */
  readonly size?: number | 'auto'
  /** Default 17, 33, 65. */
  readonly sizes?: readonly number[]
  /** Largest ΔE00 that interpolation (tetrahedral) may add anywhere; default 0.5. */
  readonly limit?: number
  /** Inputs that matter, such as the patches of the chart, as code fractions. */
  readonly points?: readonly Vec3[]
  /** Points over the whole domain for the measurement; default 20000. */
  readonly samples?: number
  /** Measure what trilinear interpolation makes of it as well? Default true. The choice does not depend on it. */
  readonly trilinear?: boolean
  readonly title?: string
  /** Whether the file that is to be written can hold a curve before the lattice (Common LUT Format); default no. */
  readonly shaper?: boolean
}

export interface ChosenLattice {
  readonly lut: LatticeLut | ShapedLut
  readonly quality: LutQuality
  /** The largest ΔE00 at every size that was tried. */
  readonly tried: readonly { readonly size: number; readonly maxDE00: number }[]
  readonly warnings: readonly Warning[]
}

/**
 * A match as a lattice, with its own interpolation error measured against the exact match.
 *
 * @throws IsochipError `lut-limits` for a size out of range, or none to try
 */
export function chooseLattice(match: EncodedMatch, options: ChooseOptions = {}): ChosenLattice {
  const { size = 'auto', sizes = [17, 33, 65], limit = 0.5, shaper = false, nodes = 'float' } = options
  const lab = outputLabs(match.output, match.bits)
  // All that is baked here has the domain 0…1, so what it should give is worked out once.
  const unit = { domainMin: [0, 0, 0], domainMax: [1, 1, 1] } as const
  const expected = lutExpectation(matchTriples(match), { ...options, ...unit, lab })
  const errorOf = (lut: LatticeLut | ShapedLut) => interpolationError(lut, expected, lab)
  const title = given({ title: options.title })
  const tried: { size: number; maxDE00: number }[] = []
  const warnings: Warning[] = []
  /** What does not decide is measured of the chosen one alone. */
  const chosen = ({ lut, error }: Candidate): ChosenLattice => ({
    lut,
    quality: measureAgainst(lut, expected, { ...options, lab }, error),
    tried,
    warnings,
  })
  const search = (bake: (n: number) => LatticeLut | ShapedLut) => {
    let found: (Candidate & { n: number }) | undefined
    for (const n of size === 'auto' ? sizes : [size]) {
      const lut = bake(n)
      found = { lut, error: errorOf(lut), n }
      tried.push({ size: n, maxDE00: worstOf(found.error) })
      if (worstOf(found.error) <= limit) break
    }
    if (found === undefined) {
      throw new IsochipError('lut-limits', 'there is no lattice size to try: the list of sizes is empty', {
        hint: 'give sizes, such as [17, 33, 65]',
      })
    }
    return found
  }
  const ofNodes: NodeOptions = given({ nodes, nodeBits: options.nodeBits })
  const plain = search((n) => bakeNodes(match, { size: n, ...ofNodes, ...title }))
  const loss = worstOf(plain.error)
  if (loss <= limit) return chosen(plain)
  const caution = (message: string) => warnings.push({ code: 'lattice-error', message })
  if (nodes === 'bounded' && !shaper) {
    caution(
      `with nodes that stay within 0…1, interpolation adds up to ΔE00 ${loss.toFixed(2)} at size ${plain.n}; the limit is ${limit}`,
    )
    return chosen(plain)
  }
  const shapedLut = bakeShaped(match, { size: plain.n, ...ofNodes, ...title })
  const shaped: Candidate = { lut: shapedLut, error: errorOf(shapedLut) }
  const gain = `ΔE00 ${loss.toFixed(2)} at size ${plain.n}; with a curve before the lattice it is ${worstOf(shaped.error).toFixed(2)}`
  const worthIt = worstOf(shaped.error) < loss / 2
  if (worthIt && shaper) {
    warnings.push({ code: 'lattice-shaper', message: `a plain lattice adds up to ${gain}, so it has one` })
    return chosen(shaped)
  }
  caution(
    worthIt
      ? `interpolation adds up to ${gain}, which a .cube file cannot hold and a Common LUT Format file can`
      : `interpolation adds up to ${gain}; the limit is ${limit}`,
  )
  return chosen(plain)
}

interface Candidate {
  readonly lut: LatticeLut | ShapedLut
  readonly error: RegionDifferences
}

function worstOf({ everywhere, neutral, points }: RegionDifferences): number {
  return Math.max(everywhere.maxDE00, neutral.maxDE00, points.maxDE00)
}
