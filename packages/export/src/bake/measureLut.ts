import type { Lab65, Vec3 } from '@isochip/core'
import { type Interpolation, lutTransform, lutTriples } from '../interpolate/lutTransform.ts'
import type { Lut } from '../lut/lut.ts'
import { type TripleMap, tripleMap } from '../lut/triples.ts'
import { type IntegerNodes, integerNodes } from './bounded/integerNodes.ts'
import { compareWithExpected, type Difference } from './compareTransforms.ts'
import {
  channelSpread,
  type ExpectationOptions,
  type LutExpectation,
  lutExpectation,
  slack,
} from './lutExpectation.ts'

/** What a LUT loses against the transform that it was made from. */
export interface LutQuality {
  /** Over the domain (evenly spread points), on the neutral axis, and at the caller's points. */
  readonly tetrahedral: RegionDifferences
  /** Where it was asked for. */
  readonly trilinear?: RegionDifferences
  /** At the two ends of the domain, equal in all channels: largest difference of a channel. */
  readonly blackError: number
  readonly whiteError: number
  /**
   * Largest spread between the channels on the neutral axis, tetrahedral, where the transform itself gives equal
   * channels (within 1e-6); `undefined` where it nowhere does.
   */
  readonly neutralSpread: number | undefined
  /**
   * Share of the points over the whole domain where the transform leaves 0…1 in some channel. What is shown there is
   * cut off, with or without a LUT, so `everywhere` and `neutral` look at the other points only.
   */
  readonly outside: number
  /** Share of the LUT's own values below 0 and above 1, which whole-number pixels cut off. */
  readonly below: number
  readonly above: number
  /** What a box that stores integers makes of it. */
  readonly integers: IntegerNodes
}

export interface RegionDifferences {
  readonly everywhere: Difference
  readonly neutral: Difference
  readonly points: Difference
}

export interface MeasureOptions {
  /** What an output code looks like: see `outputLab`. */
  readonly lab: (code: Vec3) => Lab65
  /** Inputs that matter, such as the patches of the chart, as code fractions. */
  readonly points?: readonly Vec3[]
  /** Points over the whole domain; default 20000. */
  readonly samples?: number
  /** Measure what trilinear interpolation makes of it as well? Default true. */
  readonly trilinear?: boolean
}

/** Measures a LUT against the exact transform. */
export function measureLut(lut: Lut, exact: (code: Vec3) => Vec3, options: MeasureOptions): LutQuality {
  const { domainMin, domainMax } = lut.kind === 'shaped' ? lut.curve : lut
  const lab = tripleMap(options.lab)
  const expected = lutExpectation(tripleMap(exact), { ...options, lab, domainMin, domainMax })
  return measureAgainst(lut, expected, { ...options, lab })
}

/** What interpolation between the nodes of a LUT loses against what is expected over its domain. */
export function interpolationError(
  lut: Lut,
  expected: LutExpectation,
  lab: TripleMap,
  interpolation: Interpolation = 'tetrahedral',
): RegionDifferences {
  const transform = lutTriples(lut, interpolation)
  return {
    everywhere: compareWithExpected(transform, expected.everywhere, lab),
    neutral: compareWithExpected(transform, expected.neutral, lab),
    points: compareWithExpected(transform, expected.points, lab),
  }
}

/**
 * Measures a LUT against what is expected over its domain.
 *
 * @param tetrahedral where it is known already
 */
export function measureAgainst(
  lut: Lut,
  expected: LutExpectation,
  { lab, trilinear = true }: Pick<ExpectationOptions, 'lab'> & Pick<MeasureOptions, 'trilinear'>,
  tetrahedral = interpolationError(lut, expected, lab),
): LutQuality {
  const apply = lutTransform(lut)
  const endError = ({ input, code }: LutExpectation['black']) => {
    const x = apply(input)
    return Math.max(...[0, 1, 2].map((c) => Math.abs(x[c]! - code[c]!)))
  }
  const table = lut.kind === 'curve' ? lut.table : (lut.kind === 'shaped' ? lut.lattice : lut).tableRedFastest
  let below = 0
  let above = 0
  for (let i = 0; i < table.length; i++) {
    if (table[i]! < -slack) below++
    else if (table[i]! > 1 + slack) above++
  }
  return {
    tetrahedral,
    ...(trilinear ? { trilinear: interpolationError(lut, expected, lab, 'trilinear') } : {}),
    blackError: endError(expected.black),
    whiteError: endError(expected.white),
    neutralSpread: expected.grey.length === 0 ? undefined : largestSpread(lut, expected.grey),
    outside: expected.outside,
    below: below / table.length,
    above: above / table.length,
    integers: integerNodes(lut, expected.inputs),
  }
}

function largestSpread(lut: Lut, inputs: Float64Array): number {
  const codes = inputs.slice()
  lutTriples(lut, 'tetrahedral')(codes)
  let most = 0
  for (let i = 0; i < codes.length; i += 3) {
    most = Math.max(most, channelSpread(codes[i]!, codes[i + 1]!, codes[i + 2]!))
  }
  return most
}
