import type { Vec3 } from '../linear/mat3.ts'

/** A light trap, of which camera and target see flare and pedestal alone: light as in `Samples`, and its standard error. */
export interface BlackSample {
  readonly source: Vec3
  readonly target: Vec3
  readonly sourceError: Vec3
}

/**
 * The patches that take part in a fit, as flat arrays of three numbers per patch. `source` is linear light in the
 * camera's primaries, `target` in the working primaries.
 */
export interface Samples {
  readonly count: number
  readonly source: Float64Array
  readonly target: Float64Array
  /** Weight of each patch's squared residual, one per patch. */
  readonly weight: Float64Array
  /** Standard errors of `source` and `target`; zero where not known. */
  readonly sourceError: Float64Array
  readonly targetError: Float64Array
  /** By patch, where the samples are of a chart. */
  readonly onChart?: {
    /** Place in the grid, −1…1 across and down. */
    readonly places: readonly (readonly [number, number])[]
    /** Share of the pixels that clip, as read. */
    readonly clipped: readonly number[]
  }
  /** Spectral reflectance of every patch on the knots of `prior/knots.ts`; absent where one of them is not known. */
  readonly reflectances?: readonly Float64Array[]
  /** The same of the chart's other patches, which take no part: materials all the same. Absent with `reflectances`, or where all take part. */
  readonly unread?: readonly Float64Array[]
  /** Where the target has light for any reflectance: by channel, what each knot of a reflectance adds to it. */
  readonly targetWeights?: readonly Float64Array[]
  /** The chart's true black, where camera and target have it. It is no patch: it only tells the lift. */
  readonly trueBlack?: BlackSample
}

/** Without the true black, for where the light of the camera is worked out anew. */
export function withoutTrueBlack({ trueBlack: _, ...samples }: Samples): Samples {
  return samples
}

/** The same samples with other weights. */
export function reweighted(samples: Samples, weight: Float64Array): Samples {
  return { ...samples, weight }
}
