import { perceptualResiduals } from '../fit/perceptualResiduals.ts'
import type { Design } from '../model/design.ts'
import { type MatchProblem, matchProblem } from '../problem/matchProblem.ts'

/** The residuals of a fit in ΔE00, three a patch, unweighted, and how they move. */
export interface ResidualSlopes {
  readonly residuals: Float64Array
  /** By θ: 3·patches × parameters, row-major. */
  readonly byTheta: Float64Array
  /** By the light of source and target: nine numbers a patch, residual by channel, row-major. */
  readonly bySource: Float64Array
  readonly byTarget: Float64Array
}

/** To first order, at a solution θ. */
export function residualSlopes(design: Design, theta: Float64Array, problem: MatchProblem): ResidualSlopes {
  const { samples } = problem
  const { count } = samples
  const even = problem.evenly()
  const residuals = new Float64Array(3 * count)
  const byTheta = new Float64Array(3 * count * design.parameters)
  perceptualResiduals(even, design).evaluate(theta, residuals, byTheta)
  const by = (of: 'source' | 'target') => {
    const values = Float64Array.from(samples[of])
    const moved = { ...even.samples, [of]: values }
    const sourceMoved = matchProblem(moved, problem)
    const inSource = perceptualResiduals(sourceMoved, sourceMoved.design(design.kind))
    const slopes = new Float64Array(9 * count)
    const step = 1e-5 * samples[of].reduce((most, value) => Math.max(most, Math.abs(value)), 1e-9)
    const at = new Float64Array(3 * count)
    for (let c = 0; c < 3; c++) {
      for (const side of [1, -1]) {
        for (let i = c; i < values.length; i += 3) values[i] = samples[of][i]! + side * step
        // A problem reads its target when it is made, its source whenever it is evaluated.
        const here = of === 'source' ? inSource : perceptualResiduals(matchProblem(moved, problem), design)
        here.evaluate(theta, at)
        for (let i = 0; i < at.length; i++) slopes[3 * i + c]! += (side * at[i]!) / (2 * step)
      }
      for (let i = c; i < values.length; i += 3) values[i] = samples[of][i]!
    }
    return slopes
  }
  return { residuals, byTheta, bySource: by('source'), byTarget: by('target') }
}
