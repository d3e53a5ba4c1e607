import type { Encoding, Vec3 } from '@isochip/core'
import { compareTransforms, type Difference } from '../bake/compareTransforms.ts'
import { outputLab } from '../bake/outputLab.ts'
import { samplePoints } from '../bake/samplePoints.ts'
import { type Interpolation, lutTransform } from '../interpolate/lutTransform.ts'
import type { Lut } from '../lut/lut.ts'

export interface CompareOptions {
  /** The encoding that both LUTs give out, which says what a code looks like. */
  readonly output: Encoding
  readonly bits?: number
  readonly interpolation?: Interpolation
  /** Inputs to compare at, as code fractions; default 20000 points spread evenly over 0…1. */
  readonly points?: readonly Vec3[]
}

/** How far two LUTs for the same output are apart: largest and mean ΔE00, and where. */
export function compareLuts(a: Lut, b: Lut, options: CompareOptions): Difference {
  const { output, bits, interpolation, points } = options
  return compareTransforms(
    lutTransform(a, interpolation),
    lutTransform(b, interpolation),
    points ?? samplePoints(20_000),
    outputLab(output, bits),
  )
}
