import type { Fit } from '../fit/fitKind.ts'
import { linearFit } from '../fit/linearFit.ts'
import { perceptualResiduals } from '../fit/perceptualResiduals.ts'
import { type RefitWithout, refitsWithoutPatch } from '../fit/refitsWithoutPatch.ts'
import { residualsOf } from '../fit/residualsOf.ts'
import type { Design } from '../model/design.ts'
import type { MatchProblem } from '../problem/matchProblem.ts'
import { reweighted } from '../samples/samples.ts'

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
  const without =
    problem.objective === 'linear'
      ? linearRefits(fit, problem)
      : refitsWithoutPatch(residualsOf(problem, fit.design, fit.prior), fit.theta, {
          maxIterations: 50,
          costTolerance: 1e-9,
        })
  return Array.from({ length: count }, (_, p) => without(p))
}

function linearRefits({ design }: Fit, { samples }: MatchProblem): RefitWithout {
  return (p) => {
    const weight = samples.weight.slice()
    weight[p] = 0
    const refit = linearFit(design, reweighted(samples, weight))
    return refit.rank < refit.columns || !design.prepare(refit.theta) ? undefined : refit.theta
  }
}
