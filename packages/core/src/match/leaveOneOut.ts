import { levenbergMarquardt } from '../solver/levenbergMarquardt.ts'
import { type Fit, type FitContext, problemOf } from './fitKind.ts'
import { linearFit } from './linearFit.ts'
import { perceptualProblem } from './perceptualProblem.ts'
import { residualNorms } from './residualNorms.ts'
import { reweighted, type Samples } from './samples.ts'

/**
 * ΔE00 of every sample under a match fitted without it. `undefined` for a sample without which the others cannot
 * carry the model. Weights that outliers were given, and light that was divided out, are those of all samples. The fits start from the one to all samples.
 */
export function leaveOneOut(fit: Fit, samples: Samples, context: FitContext): (number | undefined)[] {
  const { design } = fit
  const full = perceptualProblem(
    design,
    reweighted(
      samples,
      samples.weight.map(() => 1),
    ),
    context.viewer,
  )
  const ones = new Float64Array(samples.count).fill(1)
  const taking = samples.weight.reduce((sum, w) => sum + (w > 0 ? 1 : 0), 0)
  return Array.from({ length: samples.count }, (_, p) => {
    if (taking - 1 < design.columns) return undefined
    const without = reweighted(
      samples,
      samples.weight.map((w, i) => (i === p ? 0 : w)),
    )
    let theta: Float64Array
    if (context.objective === 'linear') {
      const refit = linearFit(design, without)
      if (refit.rank < refit.columns || !design.prepare(refit.theta)) return undefined
      theta = refit.theta
    } else {
      const solution = levenbergMarquardt(problemOf(design, without, context, fit.prior), fit.theta, {
        maxIterations: 50,
        costTolerance: 1e-9,
      })
      if (solution.stopped === 'start') return undefined
      theta = solution.theta
    }
    const norm = residualNorms(full, ones, theta)[p]!
    return Number.isFinite(norm) ? norm : undefined
  })
}
