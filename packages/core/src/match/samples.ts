/**
 * The patches that take part in a fit, as flat arrays of three numbers a patch. `source` is linear light in the
 * camera's primaries, `target` in the working primaries.
 */
export interface Samples {
  readonly count: number
  readonly source: Float64Array
  readonly target: Float64Array
  /** Weight of each patch's squared residual, one a patch. */
  readonly weight: Float64Array
  /** Standard errors of `source` and `target`; zero where not known. */
  readonly sourceError: Float64Array
  readonly targetError: Float64Array
}

/** The samples at the given places, in that order. */
export function pickSamples(samples: Samples, places: readonly number[]): Samples {
  const three = (from: Float64Array) =>
    Float64Array.from(places.flatMap((p) => [from[3 * p]!, from[3 * p + 1]!, from[3 * p + 2]!]))
  return {
    count: places.length,
    source: three(samples.source),
    target: three(samples.target),
    weight: Float64Array.from(places, (p) => samples.weight[p]!),
    sourceError: three(samples.sourceError),
    targetError: three(samples.targetError),
  }
}

/** The same samples with other weights. */
export function reweighted(samples: Samples, weight: Float64Array): Samples {
  return { ...samples, weight }
}
