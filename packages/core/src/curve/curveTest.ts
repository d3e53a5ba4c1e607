import { noiseVariances } from '../diagnose/noiseVariances.ts'
import { perceptualResiduals } from '../fit/perceptualResiduals.ts'
import { residualSlopes } from '../fit/residualSlopes.ts'
import type { MatchProblem } from '../problem/matchProblem.ts'
import { levenbergMarquardt } from '../solver/levenbergMarquardt.ts'
import { type CurveInput, curveProblem } from './curveProblem.ts'

/** Terms' standard deviations in the test, for a scatter of one ΔE00. */
const spread = { common: 0.5, field: 0.15 }

/**
 * Two ways to look at what a correction of the curve would take away. Of all patches alike; and with the neutral ones in
 * front, which all sensors see alike: `chroma` halves a patch's weight. `floor` is a scatter in ΔE00 that spectra and
 * readings may always have. `chance` is the most that right curves gave; see docs/decisions/0017.
 */
const views = [
  { chroma: Number.POSITIVE_INFINITY, floor: 0.8, chance: 3.4 },
  { chroma: 15, floor: 0.5, chance: 1.85 },
] as const

/** Noise of readings counts so many times over: where six greys weigh most, chance goes further than F tells. */
const fewGreys = 4

/** An F ratio of four and some fifty degrees of freedom that noise alone exceeds in one of 1,500 charts. */
const noise = 5.4

/**
 * How much better a correction common to the channels explains the patches than uneven light alone, as a multiple of
 * the most that right curves ever gave: above one the curve is not as declared. A quick test, beside a fit of
 * `lift-gain-matrix`.
 *
 * @param theta of that fit, where to start
 * @param least what is of interest. @returns 0 where nothing can be above it
 */
export function curveTest(input: CurveInput, theta: Float64Array, least: number): number {
  return Math.max(...views.map((view) => ratio(input, theta, view, least)))
}

function ratio(
  input: CurveInput,
  theta: Float64Array,
  { chroma, floor, chance }: (typeof views)[number],
  least: number,
): number {
  const problem = Number.isFinite(chroma) ? neutralsInFront(input.problem, chroma) : input.problem
  const slopes = residualSlopes(problem, problem.design('lift-gain-matrix'), theta)
  const free = Math.max(3 * problem.active.length - 21, 1)
  const known = noiseVariances(slopes, problem.samples).reduce((sum, v) => sum + v, 0) / free
  const expected = floor ** 2 + fewGreys * known
  // No correction takes away more than all that there is.
  const hopeless = (cost: number) => cost / 4 / expected / chance <= least
  if (hopeless(sumOfSquares(slopes.residuals))) return 0
  const flat = solve({ ...input, problem }, theta, false)
  if (hopeless(flat.cost)) return 0
  const bent = solve({ ...input, problem }, flat.theta, true)
  const scatter = sumOfSquares(bent.residuals) / free
  const gain = (flat.cost - bent.cost) / 4
  return Math.min(gain / (scatter + expected) / chance, gain / Math.max(scatter, 1e-9) / noise)
}

const sumOfSquares = (values: Float64Array) => values.reduce((sum, value) => sum + value * value, 0)

function solve(input: CurveInput, theta: Float64Array, common: boolean) {
  const curve = curveProblem('lift-gain-matrix', input, { common, channels: false, field: true })
  const { own, parameters } = curve.design
  const strength = new Float64Array(parameters)
  for (const term of curve.common) strength[own + term] = 1 / spread.common
  for (const term of curve.field) strength[own + term] = 1 / spread.field
  const start = new Float64Array(parameters)
  start.set(theta.subarray(0, own))
  for (const [k, term] of curve.field.entries()) start[own + term] = theta[own + k] ?? 0
  return levenbergMarquardt(
    perceptualResiduals(input.problem, curve.design, { strength, centre: new Float64Array(parameters) }),
    start,
    { maxIterations: 20, costTolerance: 1e-5 },
  )
}

function neutralsInFront(problem: MatchProblem, chroma: number): MatchProblem {
  const lab = problem.targetLab()
  return problem.reweighted(
    problem.samples.weight.map(
      (w, p) => w / (1 + (lab[3 * p + 1]! ** 2 + lab[3 * p + 2]! ** 2) / chroma ** 2),
    ),
  )
}
