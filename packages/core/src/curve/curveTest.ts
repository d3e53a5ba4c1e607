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
 */
export function curveTest(input: CurveInput, theta: Float64Array): number {
  return Math.max(...views.map((view) => ratio(input, theta, view)))
}

function ratio(
  input: CurveInput,
  theta: Float64Array,
  { chroma, floor, chance }: (typeof views)[number],
): number {
  const problem = Number.isFinite(chroma) ? neutralsInFront(input.problem, chroma) : input.problem
  const flat = solve({ ...input, problem }, theta, false)
  const bent = solve({ ...input, problem }, flat.theta, true)
  const free = Math.max(3 * problem.active.length - 21, 1)
  const scatter = bent.residuals.reduce((sum, r) => sum + r * r, 0) / free
  const readings = noiseVariances(
    residualSlopes(problem, problem.design('lift-gain-matrix'), theta),
    problem.samples,
  )
  const known = readings.reduce((sum, v) => sum + v, 0) / free
  const gain = (flat.cost - bent.cost) / 4
  return Math.min(
    gain / (scatter + floor ** 2 + fewGreys * known) / chance,
    gain / Math.max(scatter, 1e-9) / noise,
  )
}

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
