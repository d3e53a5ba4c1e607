import { norm } from '../elementary/norm.ts'
import type { Fit } from '../fit/fitKind.ts'
import { residualsOf } from '../fit/residualsOf.ts'
import { type Nuisance, nuisanceDesign } from '../model/nuisanceDesign.ts'
import type { MatchProblem } from '../problem/matchProblem.ts'
import { divideByTriangle } from '../solver/divideByTriangle.ts'
import { type LeastSquaresSolution, levenbergMarquardt } from '../solver/levenbergMarquardt.ts'
import { scaleColumns } from '../solver/scaleColumns.ts'
import { ridge } from '../solver/tolerances.ts'
import { triangularise } from '../solver/triangularise.ts'

export interface NuisanceFit {
  /** The strengths η. */
  readonly eta: Float64Array
  /** Standard error of Σ c_k η_k, from the scatter that remains. */
  standardError(c: readonly number[]): number
  /** The match's θ, fitted together with η. */
  readonly theta: Float64Array
  /** With what the fit's prior adds to it. */
  readonly cost: number
  /** Residuals less parameters. */
  readonly freedom: number
}

/** No light over a chart and no curve is off by more than e to this power, for a term of 1. */
const strongest = 3

/**
 * Fit a match and a nuisance of its readings together. `undefined` where the patches do not carry both.
 */
export function nuisanceFit(fit: Fit, problem: MatchProblem, nuisance: Nuisance): NuisanceFit | undefined {
  const { terms } = nuisance
  const { samples, active, declared } = problem
  const allowed = (eta: Float64Array) => eta.every((strength) => Math.abs(strength) < strongest)
  const design = nuisanceDesign(fit.kind, samples, declared, nuisance, allowed)
  const { own, parameters } = design
  const freedom = 3 * active.length - parameters
  if (freedom < 6) return undefined
  // Drawn as the fit was, so that the nuisance gets no credit for what only undoing the prior would gain.
  const padded = (values: Float64Array) => Float64Array.from([...values, ...new Float64Array(terms)])
  const prior = fit.prior && {
    strength: padded(fit.prior.strength),
    centre: padded(fit.prior.centre),
    ...(fit.prior.form === undefined ? {} : { form: widened(fit.prior.form, own, parameters) }),
  }
  const solution = levenbergMarquardt(
    { ...residualsOf(problem, design), ...(prior === undefined ? {} : { prior }) },
    padded(fit.theta),
    { maxIterations: 60, costTolerance: 1e-9 },
  )
  if (solution.stopped === 'start') return undefined
  return {
    eta: solution.theta.slice(own),
    standardError: (c) => Math.sqrt(solution.cost / freedom) * lengthOf(c, solution, own),
    theta: solution.theta.slice(0, own),
    cost: solution.cost,
    freedom,
  }
}

/** A square matrix with zeros for the parameters that come after its own. */
function widened(form: Float64Array, from: number, to: number): Float64Array {
  const out = new Float64Array(to * to)
  for (let j = 0; j < from; j++) out.set(form.subarray(j * from, (j + 1) * from), j * to)
  return out
}

/** Root of s·(JᵀJ)⁻¹·sᵀ for a row s that is zero up to the parameter `from`, and `c` from there on. */
function lengthOf(c: readonly number[], { residuals, jacobian }: LeastSquaresSolution, from: number): number {
  const rows = residuals.length
  const width = from + c.length
  const J = new Float64Array((rows + width) * width)
  J.set(jacobian)
  const scale = scaleColumns(J, rows, width)
  for (let j = 0; j < width; j++) J[(rows + j) * width + j] = Math.sqrt(ridge)
  triangularise(J, rows + width, width, width)
  const s = new Float64Array(width)
  for (const [k, value] of c.entries()) s[from + k] = value / scale[from + k]!
  divideByTriangle(J, s, 1, width)
  return norm(s)
}
