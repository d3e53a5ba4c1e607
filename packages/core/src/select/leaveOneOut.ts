import type { Fit } from '../fit/fitKind.ts'
import { linearFit } from '../fit/linearFit.ts'
import { perceptualResiduals } from '../fit/perceptualResiduals.ts'
import { residualsOf } from '../fit/residualsOf.ts'
import type { Design } from '../model/design.ts'
import type { MatchProblem } from '../problem/matchProblem.ts'
import { reweighted } from '../samples/samples.ts'
import type { LeastSquaresProblem } from '../solver/leastSquaresProblem.ts'
import { levenbergMarquardt } from '../solver/levenbergMarquardt.ts'

/**
 * ΔE00 of every sample under a match fitted without it. `undefined` for a sample without which the others cannot
 * carry the model. Weights that outliers were given, and light that was divided out, are those of all samples. The fits start from the one to all samples.
 */
export function leaveOneOut(fit: Fit, problem: MatchProblem): (number | undefined)[] {
  return leftOut(fit.design, refitsWithout(fit, problem), problem)
}

/** The same by fits that are there: θ without each sample. */
export function leftOut(
  design: Design,
  refits: readonly (Float64Array | undefined)[],
  problem: MatchProblem,
): (number | undefined)[] {
  const judge = perceptualResiduals(problem.evenly(), design)
  return refits.map((theta, p) => {
    const difference = theta === undefined ? Number.NaN : judge.difference(theta, p)
    return Number.isFinite(difference) ? difference : undefined
  })
}

/** θ of a fit without each sample in turn; `undefined` where the others do not carry the model. */
export function refitsWithout(fit: Fit, problem: MatchProblem): (Float64Array | undefined)[] {
  const { count } = problem.samples
  if (problem.active.length - 1 < fit.design.columns) return Array.from({ length: count }, () => undefined)
  const without = problem.objective === 'linear' ? linearRefits(fit, problem) : perceptualRefits(fit, problem)
  return Array.from({ length: count }, (_, p) => without(p))
}

/** θ without sample `p`; `undefined` where the others do not carry the model. */
type Refits = (p: number) => Float64Array | undefined

function linearRefits({ design }: Fit, { samples }: MatchProblem): Refits {
  return (p) => {
    const weight = samples.weight.slice()
    weight[p] = 0
    const refit = linearFit(design, reweighted(samples, weight))
    return refit.rank < refit.columns || !design.prepare(refit.theta) ? undefined : refit.theta
  }
}

function perceptualRefits(fit: Fit, problem: MatchProblem): Refits {
  const all = residualsOf(problem, fit.design, fit.prior)
  const { parameters: m, residuals: n } = all
  // All refits start at the same θ: what it gives is worked out once.
  const start = { residuals: new Float64Array(n), jacobian: new Float64Array(n * m) }
  if (!all.evaluate(fit.theta, start.residuals, start.jacobian)) return () => undefined
  return (p) => {
    const without: LeastSquaresProblem = {
      ...all,
      evaluate(theta, residuals, jacobian) {
        if (theta.every((value, j) => value === fit.theta[j])) {
          residuals.set(start.residuals)
          jacobian.set(start.jacobian)
        } else if (!all.evaluate(theta, residuals, jacobian)) return false
        residuals.fill(0, 3 * p, 3 * (p + 1))
        jacobian.fill(0, 3 * p * m, 3 * (p + 1) * m)
        return true
      },
    }
    return levenbergMarquardt(without, fit.theta, { maxIterations: 50, costTolerance: 1e-9 }).theta
  }
}
