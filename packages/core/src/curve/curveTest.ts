import { viewLab } from '../colour/viewer.ts'
import { noiseVariances } from '../diagnose/noiseVariances.ts'
import { perceptualProblem } from '../fit/perceptualProblem.ts'
import { reweighted, type Samples } from '../samples/samples.ts'
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
  const samples = Number.isFinite(chroma) ? neutralsInFront(input, chroma) : input.samples
  const flat = solve({ ...input, samples }, theta, false)
  const bent = solve({ ...input, samples }, flat.theta, true)
  const taking = samples.weight.reduce((sum, w) => sum + (w > 0 ? 1 : 0), 0)
  const scatter = bent.residuals.reduce((sum, r) => sum + r * r, 0) / Math.max(3 * taking - 21, 1)
  const readings = noiseVariances('lift-gain-matrix', theta, samples, input.context)
  const known = readings.reduce((sum, v) => sum + v, 0) / Math.max(3 * taking - 21, 1)
  const gain = (flat.cost - bent.cost) / 4
  return Math.min(
    gain / (scatter + floor ** 2 + fewGreys * known) / chance,
    gain / Math.max(scatter, 1e-9) / noise,
  )
}

function solve(input: CurveInput, theta: Float64Array, common: boolean) {
  const problem = curveProblem('lift-gain-matrix', input, { common, channels: false, field: true })
  const { own, parameters } = problem.design
  const strength = new Float64Array(parameters)
  for (const term of problem.common) strength[own + term] = 1 / spread.common
  for (const term of problem.field) strength[own + term] = 1 / spread.field
  const start = new Float64Array(parameters)
  start.set(theta.subarray(0, own))
  for (const [k, term] of problem.field.entries()) start[own + term] = theta[own + k] ?? 0
  return levenbergMarquardt(
    perceptualProblem(problem.design, input.samples, input.context.viewer, {
      strength,
      centre: new Float64Array(parameters),
    }),
    start,
    { maxIterations: 20, costTolerance: 1e-5 },
  )
}

function neutralsInFront({ samples, context }: CurveInput, chroma: number): Samples {
  const { target, weight } = samples
  const lab = new Float64Array(3)
  return reweighted(
    samples,
    weight.map((w, p) => {
      viewLab(context.viewer, target[3 * p]!, target[3 * p + 1]!, target[3 * p + 2]!, lab)
      return w / (1 + (lab[1]! ** 2 + lab[2]! ** 2) / chroma ** 2)
    }),
  )
}
