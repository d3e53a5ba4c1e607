import type { Lab65, Vec3 } from '@isochip/core'
import { type Interpolation, lutTransform } from '../interpolate/lutTransform.ts'
import type { Lut } from '../lut/lut.ts'
import { compareTransforms, type Difference } from './compareTransforms.ts'
import { samplePoints } from './samplePoints.ts'

/** What a LUT loses against the transform that it was made from. */
export interface LutQuality {
  /** Over the domain (evenly spread points), on the neutral axis, and at the caller's points. */
  readonly tetrahedral: RegionDifferences
  readonly trilinear: RegionDifferences
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
}

const neutralSteps = 1024

/** So that rounding does not push white out of range. */
const slack = 1e-9

/** Measures a LUT against the exact transform, for both ways of interpolation. */
export function measureLut(lut: Lut, exact: (code: Vec3) => Vec3, options: MeasureOptions): LutQuality {
  const { lab, points = [], samples = 20_000 } = options
  const first = lut.kind === 'shaped' ? lut.curve : lut
  const place = (f: Vec3): Vec3 => {
    const at = (c: 0 | 1 | 2) => first.domainMin[c] * (1 - f[c]) + first.domainMax[c] * f[c]
    return [at(0), at(1), at(2)]
  }
  const inRange = (input: Vec3) => exact(input).every((x) => x >= -slack && x <= 1 + slack)
  const inputs = [...samplePoints(samples)].map(place).filter(inRange)
  const neutrals = Array.from({ length: neutralSteps + 1 }, (_, i): Vec3 => {
    const f = i / neutralSteps
    return place([f, f, f])
  })
  const measure = (interpolation: Interpolation): RegionDifferences => {
    const approximate = lutTransform(lut, interpolation)
    const compare = (at: Iterable<Vec3>) => compareTransforms(approximate, exact, at, lab)
    return {
      everywhere: compare(inputs),
      neutral: compare(neutrals.filter(inRange)),
      points: compare(points),
    }
  }
  const apply = lutTransform(lut)
  const endError = (input: Vec3) => {
    const [x, y] = [apply(input), exact(input)]
    return Math.max(...[0, 1, 2].map((c) => Math.abs(x[c]! - y[c]!)))
  }
  const spread = (rgb: Vec3) => Math.max(...rgb) - Math.min(...rgb)
  const grey = neutrals.filter((input) => spread(exact(input)) <= 1e-6)
  const table = lut.kind === 'curve' ? lut.table : (lut.kind === 'shaped' ? lut.lattice : lut).tableRedFastest
  let below = 0
  let above = 0
  for (const value of table) {
    if (value < 0) below++
    else if (value > 1) above++
  }
  return {
    tetrahedral: measure('tetrahedral'),
    trilinear: measure('trilinear'),
    blackError: endError(neutrals[0]!),
    whiteError: endError(neutrals[neutralSteps]!),
    neutralSpread:
      grey.length === 0 ? undefined : grey.reduce((most, input) => Math.max(most, spread(apply(input))), 0),
    outside: 1 - inputs.length / samples,
    below: below / table.length,
    above: above / table.length,
  }
}
