import type { Vec3 } from '../linear/mat3.ts'
import type { MatchProblem } from '../problem/matchProblem.ts'
import type { Prepared } from '../samples/prepareSamples.ts'
import type { Target } from '../target/target.ts'

/** A patch that is read and has an aim, and what it counts for. */
export interface Judged {
  readonly patch: string
  /** Its place among the samples of the fit, where it is one. */
  readonly sample: number | undefined
  /** Linear light in the camera's primaries. */
  readonly light: Vec3
  /** Where it is to go: linear light in the working primaries. */
  readonly aim: Vec3
  readonly weight: number
  /** Why it is left out. */
  readonly excluded?: string
}

/** Every patch that a match has something to say of, in the order of the readings. */
export function judged(prepared: Prepared, { samples }: MatchProblem, target: Target): Judged[] {
  const sampleOf = new Map(prepared.places.map((place, sample) => [place, sample]))
  return prepared.lights.flatMap(({ patch, light }, place) => {
    const aim = target.light.get(patch)
    if (aim === undefined) return []
    const sample = sampleOf.get(place)
    const excluded = prepared.excluded.get(place)
    const weight = sample === undefined ? 0 : samples.weight[sample]!
    return [{ patch, sample, light, aim, weight, ...(excluded === undefined ? {} : { excluded }) }]
  })
}
