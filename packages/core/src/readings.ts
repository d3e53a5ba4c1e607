import type { Vec3 } from './linear/mat3.ts'

/** What a frame says of one patch. */
export interface PatchReading {
  /** Name of the patch, as in the chart. */
  readonly patch: string
  /** Mean code values as nominal fractions: 0 = reference black, 1 = nominal peak (the range is taken out). */
  readonly rgb: Vec3
  /** Standard deviation of a single pixel, in the same units. */
  readonly sd?: Vec3
  /** Number of pixels that the mean is of. */
  readonly pixels?: number
  /** Share of the patch's pixels that clip, 0…1. */
  readonly clipped?: number
  /** Something else than the chart shows there: a hand, a leaf, a label. It takes no part in a match. */
  readonly foreign?: boolean
}

/** The readings of one chart in one setup of one camera. */
export interface Readings {
  readonly patches: readonly PatchReading[]
}
