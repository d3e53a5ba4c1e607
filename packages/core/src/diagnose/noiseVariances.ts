import { residualsOf } from '../fit/residualsOf.ts'
import type { ModelKind } from '../model/modelKind.ts'
import { type MatchProblem, matchProblem } from '../problem/matchProblem.ts'

/** What the standard errors of readings and target put into each residual's variance, to first order: three a patch. */
export function noiseVariances(kind: ModelKind, theta: Float64Array, problem: MatchProblem): Float64Array {
  const { samples } = problem
  const { count } = samples
  const sum = new Float64Array(3 * count)
  for (const of of ['source', 'target'] as const) {
    const error = of === 'source' ? samples.sourceError : samples.targetError
    if (error.every((value) => value === 0)) continue
    const residualsAt = movedResiduals(kind, theta, problem, of)
    const step = 1e-6 * samples[of].reduce((most, value) => Math.max(most, Math.abs(value)), 0)
    for (let c = 0; c < 3; c++) {
      const up = residualsAt(c, step)
      const down = residualsAt(c, -step)
      for (let i = 0; i < 3 * count; i++) {
        const slope = (up[i]! - down[i]!) / (2 * step)
        sum[i]! += (slope * error[i - (i % 3) + c]!) ** 2
      }
    }
  }
  return sum
}

/** The residuals where one channel of source or target is moved in every patch: each patch's residuals depend on its own only. */
function movedResiduals(
  kind: ModelKind,
  theta: Float64Array,
  problem: MatchProblem,
  of: 'source' | 'target',
): (channel: number, by: number) => Float64Array {
  const { samples } = problem
  const values = Float64Array.from(samples[of])
  const moved = { ...samples, [of]: values }
  const sourceMoved = matchProblem(moved, problem)
  const inSource = residualsOf(sourceMoved, sourceMoved.design(kind))
  return (channel, by) => {
    values.set(samples[of])
    for (let i = channel; i < values.length; i += 3) values[i]! += by
    // A problem reads its target when it is made, its source whenever it is evaluated.
    const targetMoved = () => residualsOf(matchProblem(moved, problem), problem.design(kind))
    const there = of === 'source' ? inSource : targetMoved()
    const residuals = new Float64Array(values.length)
    there.evaluate(theta, residuals)
    return residuals
  }
}
