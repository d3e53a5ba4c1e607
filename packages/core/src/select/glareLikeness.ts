import { residualsOf } from '../fit/residualsOf.ts'
import type { ModelKind } from '../model/modelKind.ts'
import { type MatchProblem, matchProblem } from '../problem/matchProblem.ts'

/**
 * By patch: how much its residual looks like light of the lamp's colour added to it, 0…1. A reflection moves a patch
 * along one line of its three residuals, and one way; what two sensors see differently goes anywhere. The fourth power of
 * the cosine between the residual and that line, 0 where less light than there is would be needed.
 */
export function glareLikeness(kind: ModelKind, theta: Float64Array, problem: MatchProblem): Float64Array {
  const { samples } = problem
  const residualsAt = (added: number) => {
    const moved = matchProblem({ ...samples, source: samples.source.map((value) => value + added) }, problem)
    const residuals = new Float64Array(3 * samples.count)
    residualsOf(moved, moved.design(kind)).evaluate(theta, residuals)
    return residuals
  }
  const here = residualsAt(0)
  const brighter = residualsAt(1e-6 * Math.max(...samples.source.map(Math.abs)))
  return Float64Array.from({ length: samples.count }, (_, p) => {
    const r = here.subarray(3 * p, 3 * p + 3)
    const slope = brighter.subarray(3 * p, 3 * p + 3).map((value, i) => value - r[i]!)
    const along = r.reduce((sum, value, i) => sum + value * slope[i]!, 0)
    const size = Math.hypot(...r) * Math.hypot(...slope)
    return along > 0 ? (along / size) ** 4 : 0
  })
}
