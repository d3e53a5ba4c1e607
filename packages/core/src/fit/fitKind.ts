import { IsochipError } from '../errors.ts'
import type { Design } from '../model/design.ts'
import type { MatchModel } from '../model/model.ts'
import type { ModelKind } from '../model/modelKind.ts'
import type { MatchProblem } from '../problem/matchProblem.ts'
import { reweighted } from '../samples/samples.ts'
import type { LeastSquaresProblem } from '../solver/leastSquaresProblem.ts'
import { levenbergMarquardt } from '../solver/levenbergMarquardt.ts'
import { scatterOf } from '../solver/scatterOf.ts'
import { linearFit } from './linearFit.ts'
import { linearResiduals } from './linearResiduals.ts'
import { perceptualResiduals } from './perceptualResiduals.ts'
import { perceptualWeights } from './perceptualWeights.ts'
import { liftTowardsBlack, priorTowardsBlack } from './priorTowardsBlack.ts'
import { priorTowardsLevels } from './priorTowardsLevels.ts'
import { priorTowardsMatrix } from './priorTowardsMatrix.ts'

/** One kind of match, fitted to samples. */
export interface Fit {
  readonly kind: ModelKind
  readonly design: Design
  readonly theta: Float64Array
  readonly model: MatchModel
  /** Σ weight · residual², of the objective, and what a prior adds to it. */
  readonly cost: number
  readonly rank: number
  readonly columns: number
  readonly condition: number
  readonly iterations: number
  readonly converged: boolean
  readonly stopped: string
  /**
   * The prior that was used: where patches are few or nearly dependent, towards the matrix when that was asked for, and towards
   * what a light trap shows.
   */
  readonly prior?: NonNullable<LeastSquaresProblem['prior']>
  /** Patches were few or nearly dependent: the prior is towards lift and gain. */
  readonly regularised?: boolean
}

/** With fewer patches than this per column, or a condition above that, the fit is regularised towards lift and gain alone. */
const fewPerColumn = 3
const nearlyDependent = 300

/**
 * Fit one kind. The perceptual objective starts from the linear fit, whose patches are weighted by how much the eye
 * makes of a change in their light.
 *
 * @param matrix for a root-polynomial kind and the perceptual objective: the fit of `lift-gain-matrix` to the same
 * samples, from which to start and towards which to draw. Without it nothing is drawn.
 * @throws IsochipError `too-few-patches`, `rank-deficient`
 */
export function fitKind(kind: ModelKind, problem: MatchProblem, matrix?: Fit): Fit {
  const { samples, objective } = problem
  const design = problem.design(kind)
  const activeCount = problem.active.length
  if (activeCount < design.columns) {
    throw new IsochipError(
      'too-few-patches',
      `${activeCount} usable ${activeCount === 1 ? 'patch' : 'patches'} for the model ${kind}, expected ${design.columns} or more`,
      { hint: 'use a simpler model, or find out why patches were left out (the warnings name them)' },
    )
  }
  const linear = linearFit(
    design,
    objective === 'linear' ? samples : reweighted(samples, perceptualWeights(samples.target, samples.weight)),
  )
  if (linear.rank < linear.columns) {
    throw new IsochipError(
      'rank-deficient',
      `the patches do not tell the terms of the model ${kind} apart: rank ${linear.rank} of ${linear.columns}`,
      {
        hint: 'are all patches of one colour (all grey), or is a channel without signal? use model lift-gain or gain, or auto',
      },
    )
  }
  const basis = { kind, design, rank: linear.rank, columns: linear.columns, condition: linear.condition }
  if (objective === 'linear') {
    const of = linearResiduals(problem, design)
    const residuals = new Float64Array(of.residuals)
    of.evaluate(linear.theta, residuals)
    return {
      ...basis,
      theta: linear.theta,
      model: modelOf(design, linear.theta),
      cost: residuals.reduce((sum, r) => sum + r * r, 0),
      iterations: 0,
      converged: true,
      stopped: 'closed form',
    }
  }
  const black = samples.trueBlack
  const drawn = matrix === undefined ? undefined : priorTowardsMatrix(design, matrix, activeCount)
  if (drawn !== undefined && matrix !== undefined && black !== undefined) {
    const scatter = scatterOf(matrix.cost, 3 * activeCount, matrix.design.parameters)
    drawn.prior = liftTowardsBlack(black, drawn.prior, design.columns, matrix.model, scatter)
  }
  const start =
    drawn?.start ?? (design.prepare(linear.theta) ? linear.theta : levelStart(kind, problem, design))
  const solution = levenbergMarquardt(perceptualResiduals(problem, design, drawn?.prior), start)
  if (solution.stopped === 'start') {
    throw new IsochipError(
      'rank-deficient',
      `no sensible start for the model ${kind}: a white of the camera does not come out white`,
      {
        hint: 'look at the readings: is a channel swapped, dead or clipped? model gain needs least of them',
      },
    )
  }
  const levels = priorFor(problem, design, linear.condition, solution.cost)
  const scatter = scatterOf(solution.cost, 3 * activeCount, design.parameters)
  const affine =
    kind === 'lift-gain-matrix' && black !== undefined
      ? priorTowardsBlack(black, solution.theta, scatter, levels)
      : levels
  const { theta, iterations, converged, stopped, cost } =
    affine === undefined
      ? solution
      : levenbergMarquardt(perceptualResiduals(problem, design, affine), solution.theta)
  const prior = drawn?.prior ?? affine
  return {
    ...basis,
    theta,
    model: modelOf(design, theta),
    cost,
    iterations,
    converged,
    stopped: stopWords[stopped],
    ...(prior === undefined ? {} : { prior }),
    regularised: levels !== undefined,
  }
}

/** The prior towards lift and gain alone, where the patches leave room for it. */
function priorFor(problem: MatchProblem, design: Design, condition: number, cost: number): Fit['prior'] {
  const activeCount = problem.active.length
  if (design.kind !== 'matrix' && design.kind !== 'lift-gain-matrix') return undefined
  if (activeCount >= fewPerColumn * design.columns && condition <= nearlyDependent) return undefined
  // More patches than columns that agree to the last digit need no advice.
  if (activeCount > design.columns && cost < 1e-12 * activeCount) return undefined
  return priorTowardsLevels(problem, design.columns, cost)
}

const stopWords = {
  cost: 'no step lowers the cost further',
  step: 'the step is smaller than rounding',
  'zero-residual': 'the match is exact',
  iterations: 'the limit of iterations was reached',
  damping: 'no step however short lowers the cost',
  start: 'there was no start',
}

/** @throws IsochipError `rank-deficient` where θ is no match: white would not come out white. */
export function modelOf(design: Design, theta: Float64Array): MatchModel {
  const model = design.toModel(theta)
  if (model !== undefined && [...model.lift, ...model.gain, ...model.matrix.flat()].every(Number.isFinite))
    return model
  throw new IsochipError('rank-deficient', `the model ${design.kind} has no positive gain in every channel`, {
    hint: 'look at the readings: is a channel swapped, dead or clipped? a simpler model needs less of them',
  })
}

/** Where the linear fit turns colours inside out (few or noisy patches), start from the gains alone. */
function levelStart(kind: ModelKind, problem: MatchProblem, design: Design): Float64Array {
  const gains = linearFit(problem.design('gain'), problem.samples).theta
  const { columns, parameters } = design
  const start = new Float64Array(parameters)
  if (kind === 'gain' || kind === 'lift-gain') {
    start.set(gains.map((g) => Math.max(g, 1e-6)))
    return start
  }
  for (let c = 0; c < 3; c++) {
    for (let k = 0; k < 3; k++) start[c * columns + k] = problem.declared[c]![k]! * Math.max(gains[k]!, 1e-6)
  }
  return start
}
