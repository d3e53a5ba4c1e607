import { type Fit, fitKind, modelOf } from '../fit/fitKind.ts'
import { linearFit } from '../fit/linearFit.ts'
import { perceptualResiduals } from '../fit/perceptualResiduals.ts'
import { perceptualWeights } from '../fit/perceptualWeights.ts'
import { priorTowardsMatrix } from '../fit/priorTowardsMatrix.ts'
import { refitsWithoutPatch } from '../fit/refitsWithoutPatch.ts'
import type { ModelKind } from '../model/modelKind.ts'
import type { NuisanceDesign } from '../model/nuisanceDesign.ts'
import { type MatchProblem, matchProblem } from '../problem/matchProblem.ts'
import { reweighted } from '../samples/samples.ts'
import type { LeastSquaresProblem } from '../solver/leastSquaresProblem.ts'
import { levenbergMarquardt } from '../solver/levenbergMarquardt.ts'
import { scatterOf } from '../solver/scatterOf.ts'
import type { Correction } from './correction.ts'
import { type CurveInput, type CurveProblem, curveProblem } from './curveProblem.ts'
import { posteriorErrors } from './posteriorErrors.ts'

/**
 * What is known of a correction before the chart is looked at, as standard deviations of its terms, and of a residual's
 * scatter in ΔE00 where the curve is right: on real charts, whose prints differ from their published values. Chosen on
 * readings of photographs, by patches left out (docs/decisions/0017).
 */
export const usual = { common: 1, channel: 0.15, field: 0.15, root: 2, scatter: 3 }

/** The light over the chart that was fitted along: the readings are to be divided by it. */
interface CorrectionField {
  /** Relative to the mean of the chart, in its order, in stops. */
  readonly stops: readonly number[]
  readonly terms: number
  /** The largest difference, and its standard error. */
  readonly range: number
  readonly standardError: number
}

export interface CorrectionFit {
  readonly correction: Correction
  /** Standard errors of its terms: common, red, green, blue. */
  readonly errors: readonly (readonly number[])[]
  /** Absent where the light was taken to be even. */
  readonly field?: CorrectionField
  /** The match, on samples with the correction in them and the uneven light out of them. */
  readonly fit: Fit
  readonly problem: MatchProblem
  /** Residuals less parameters. */
  readonly freedom: number
  /**
   * ΔE00 of every sample under a correction, a light and a match that were all fitted without it.
   *
   * @param match fits another match to the samples that such a correction gives.
   */
  leaveOneOut(match?: OtherMatch): (number | undefined)[]
}

/** Another match, fitted to samples with a correction in them. */
type OtherMatch = (problem: MatchProblem) => Pick<Fit, 'design' | 'theta'> | undefined

/**
 * A correction of the curve, the light over the chart, and a match, fitted together to all patches by ΔE00, each term
 * regularised towards none by what is usual: a right curve stays itself.
 *
 * @param uneven is light over the chart fitted along? Otherwise it is taken to be even.
 * @throws IsochipError `too-few-patches`, `rank-deficient` as the match alone would
 */
export function fitCorrection(kind: ModelKind, input: CurveInput, uneven = true): CorrectionFit {
  const { active } = input.problem
  const curve = curveProblem(kind, input, { common: true, channels: true, field: uneven })
  const { design } = curve
  const { start, prior } = startOf(kind, input.problem, curve)
  const least = perceptualResiduals(input.problem, design, prior)
  const solution = levenbergMarquardt(least, start, { maxIterations: 60, costTolerance: 1e-7 })
  const { theta } = solution
  const eta = theta.slice(design.own)
  const rest = solution.residuals.reduce((sum, r) => sum + r * r, 0)
  const scatter = scatterOf(rest, 3 * active.length, design.own)
  const problem = correctedProblem(design, theta, input.problem)
  const errors = posteriorErrors(solution.jacobian, prior.strength, scatter)
  const field = uneven ? fieldOf(curve, eta, errors.of) : undefined
  return {
    correction: curve.correction(eta),
    errors: [curve.common, ...curve.channels].map((terms) =>
      terms.map((term) => errors.of([[design.own + term, 1]])),
    ),
    ...(field === undefined ? {} : { field }),
    fit: {
      ...matchPart(kind, theta.slice(0, design.own), prior.strength, problem),
      cost: rest,
      iterations: solution.iterations,
      converged: solution.converged,
      stopped: solution.converged
        ? 'no step lowers the cost further'
        : `the solver stopped: ${solution.stopped}`,
    },
    problem,
    freedom: Math.max(3 * active.length - design.parameters, 1),
    leaveOneOut: (match) => leftOut(least, design, theta, input.problem, match),
  }
}

/** Samples with the correction of a θ in them and its uneven light out of them. */
function correctedProblem(
  design: NuisanceDesign,
  theta: Float64Array,
  { samples, ...measure }: MatchProblem,
): MatchProblem {
  design.prepare(theta)
  const source = Float64Array.from(design.moved)
  const sourceError = samples.sourceError.map((error, i) => (error * source[i]!) / (samples.source[i]! || 1))
  return matchProblem({ ...samples, source, sourceError }, measure)
}

/** The match's own part of a solution, as a fit to corrected samples. */
function matchPart(
  kind: ModelKind,
  theta: Float64Array,
  strength: Float64Array,
  problem: MatchProblem,
): Omit<Fit, 'cost' | 'iterations' | 'converged' | 'stopped'> {
  const { samples } = problem
  const design = problem.design(kind)
  const linear = linearFit(design, reweighted(samples, perceptualWeights(samples.target, samples.weight)))
  const model = modelOf(design, theta)
  const own = strength.slice(0, theta.length)
  return {
    kind,
    design,
    theta,
    model,
    rank: linear.rank,
    columns: linear.columns,
    condition: linear.condition,
    ...(own.some((value) => value > 0)
      ? { prior: { strength: own, centre: new Float64Array(theta.length) } }
      : {}),
  }
}

function fieldOf(
  { design, field, surface }: CurveProblem,
  eta: Float64Array,
  errorOf: (sum: readonly (readonly [number, number])[]) => number,
): CorrectionField {
  // η lifts the readings to what even light would give, so the light itself is its opposite.
  const stops = surface.map((at) => -field.reduce((sum, term, k) => sum + at[k]! * eta[term]!, 0) / Math.LN2)
  const high = stops.indexOf(Math.max(...stops))
  const low = stops.indexOf(Math.min(...stops))
  return {
    stops,
    terms: field.length,
    range: stops[high]! - stops[low]!,
    standardError: errorOf(
      field.map((term, k) => [design.own + term, (surface[high]![k]! - surface[low]![k]!) / Math.LN2]),
    ),
  }
}

/** ΔE00 of each sample, with everything fitted anew without it. */
function leftOut(
  least: LeastSquaresProblem,
  design: NuisanceDesign,
  theta: Float64Array,
  problem: MatchProblem,
  match: OtherMatch | undefined,
): (number | undefined)[] {
  const judge = perceptualResiduals(problem.evenly(), design)
  const differenceBy = (by: OtherMatch, at: Float64Array, p: number) => {
    const corrected = correctedProblem(design, at, problem)
    const found = by(corrected.reweighted(problem.samples.weight.map((w, q) => (q === p ? 0 : w))))
    if (found === undefined) return Number.NaN
    return perceptualResiduals(corrected.evenly(), found.design).difference(found.theta, p)
  }
  const without = refitsWithoutPatch(least, theta, { maxIterations: 12, costTolerance: 1e-4 })
  return Array.from({ length: problem.samples.count }, (_, p) => {
    const refit = without(p)
    if (refit === undefined) return undefined
    const difference = match === undefined ? judge.difference(refit, p) : differenceBy(match, refit, p)
    return Number.isFinite(difference) ? difference : undefined
  })
}

/** The start, from the match alone, and what draws each parameter to it. */
function startOf(
  kind: ModelKind,
  problem: MatchProblem,
  { design, common, channels, field }: CurveProblem,
): { start: Float64Array; prior: { strength: Float64Array; centre: Float64Array } } {
  const { own, inner, parameters } = design
  const start = new Float64Array(parameters)
  const strength = new Float64Array(parameters)
  const perceptual = problem.perceptual()
  if (kind === 'root-polynomial-2' || kind === 'root-polynomial-3') {
    const affine = fitKind('lift-gain-matrix', perceptual)
    const drawn = priorTowardsMatrix(inner, affine, problem.samples.count, usual.scatter / usual.root)
    start.set(drawn.start)
    strength.set(drawn.prior.strength)
  } else start.set(fitKind(kind, perceptual).theta)
  for (const term of common) strength[own + term] = usual.scatter / usual.common
  for (const term of channels.flat()) strength[own + term] = usual.scatter / usual.channel
  for (const term of field) strength[own + term] = usual.scatter / usual.field
  return { start, prior: { strength, centre: new Float64Array(parameters) } }
}
