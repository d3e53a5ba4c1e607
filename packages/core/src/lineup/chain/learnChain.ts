import { exp } from '../../elementary/exp.ts'
import { ln } from '../../elementary/ln.ts'
import { identity3, type Mat3, multiply3 } from '../../linear/mat3.ts'
import { cholesky, divideBySquare } from '../../solver/cholesky.ts'
import { levenbergMarquardt } from '../../solver/levenbergMarquardt.ts'
import { turnSize, turnSpread } from '../controls.ts'
import type { Panel } from '../panel.ts'
import type { ShotSignal } from '../shot/shotSignal.ts'
import { type Chain, type Curve, matrixOfTerms } from './chain.ts'
import { type ChainOrder, chainOrders } from './chainOrder.ts'
import { type FirstMatrix, learnProblem, sharedNumbers as shared } from './learnProblem.ts'

/** The six terms of what stands after the gains, before anybody has lined the camera up: rg, rb, gr, gb, br, bg. */
export interface MatrixPrior {
  readonly mean: readonly number[]
  /** 6×6. */
  readonly covariance: readonly (readonly number[])[]
}

/** What is believed of one camera: where its gains stand, how its matrices are, how much its controls act. */
export interface ChainBelief {
  readonly order: ChainOrder
  /** Of all orders; they add up to 1. */
  readonly probability: number
  /** ln of the evidence, up to what all have in common; for comparing what may have been done between two shots. */
  readonly evidence: number
  /**
   * Root mean square of what the newest shot misses the chain by, and of what its turn missed, in standard deviations: around 1 or
   * less where the chain explains it.
   */
  readonly misfit: number
  /**
   * Thirteen numbers: six of the matrix in units of the prior's spread, ln of how much each group of controls acts,
   * the pedestal of the first shot.
   */
  readonly theta: Float64Array
  /** By how much each turn missed what was asked, twelve numbers a turn. */
  readonly misses: Float64Array
  /** Cholesky factor of their covariance, 13×13. */
  readonly factor: Float64Array
  /** The chain as it now is, by those numbers. */
  chain(theta: ArrayLike<number>): Chain
}

/** Standard deviation of ln of how much a control acts: common practice, no source. */
export const actionSpread = 0.12
/** Standard deviation of a patch's signal against what the chain says of it. */
const signalSpread = 0.004
/** What a shot says of the pedestal is off by this besides, since flare and a wrong gamma look alike. */
const curveSpread = 0.008
const spread = { signal: signalSpread, pedestal: curveSpread }
/** Where gains stand after the maker's matrix only the camera's own one is after them: near none. */
const ownMatrixSpread = 0.06
const sixTerms = [0, 1, 2, 3, 4, 5]
const ownMatrix: FirstMatrix = {
  base: identity3,
  along: sixTerms.map((k) => changeOf(sixTerms.map((i) => (i === k ? ownMatrixSpread : 0)))),
}
/** Probability below which an order is given up. */
const outOfQuestion = 1e-4

/** How closely the likeliest chain is looked for … */
export const precisely = { maxIterations: 30, costTolerance: 1e-6 }
/** … and where it is only to be told which of several things was done: the evidence is then right to a tenth. */
export const roughly: typeof precisely = { maxIterations: 10, costTolerance: 1e-3 }

const orders = Object.keys(chainOrders) as ChainOrder[]

/** A change of a matrix by six terms: rows sum to 0. */
function changeOf([rg, rb, gr, gb, br, bg]: readonly number[]): Mat3 {
  return [
    [-rg! - rb!, rg!, rb!],
    [gr!, -gr! - gb!, gb!],
    [br!, bg!, -br! - bg!],
  ]
}

/** What may stand after the gains at first, by where they stand. */
export function firstMatrices(
  { mean, covariance }: MatrixPrior,
  toPrimaries: Mat3,
): Record<ChainOrder, FirstMatrix> {
  const root = rootOf(covariance.flat(), 6)
  const along = sixTerms.map((k) =>
    multiply3(toPrimaries, changeOf(sixTerms.map((i) => (k <= i ? root[i * 6 + k]! : 0)))),
  )
  return {
    'before-matrix': { base: multiply3(toPrimaries, matrixOfTerms([0, 0, 0, ...mean])), along },
    'after-matrix': ownMatrix,
  }
}

/**
 * What the shots of one camera say of its chain: maximum a posteriori over all pairs of consecutive shots, for each
 * order of gains and matrix, with their evidence (Laplace).
 *
 * @param toPrimaries BT.709, in which the prior stands → the camera's primaries. @param before what the shots before the
 * last said: it is near what all say. @param limits of the search
 */
export function learnChain(
  curve: Curve,
  shots: readonly ShotSignal[],
  prior: MatrixPrior,
  toPrimaries: Mat3,
  panel: Panel,
  before: readonly ChainBelief[] = [],
  limits = precisely,
): ChainBelief[] {
  const firsts = firstMatrices(prior, toPrimaries)
  const spreadOf = (j: number) => {
    const misses = shots[Math.floor(j / turnSize)]!.unknown ? turnSpread : panel.misses
    return misses[j % turnSize]!
  }
  const parameters = shared + turnSize * (shots.length - 1)
  const strength = Float64Array.from({ length: parameters }, (_, j) =>
    j < 6 ? 1 : j < 10 ? 1 / actionSpread : j < shared ? 1 / curve.pedestalSpread : 1 / spreadOf(j - shared),
  )
  // An order that was out of the question before is not looked at again.
  const left = orders.filter(
    (order) => !before.some((belief) => belief.order === order && belief.probability < outOfQuestion),
  )
  const asked = panel.order !== undefined ? [panel.order] : before.length === 1 ? [before[0]!.order] : left
  const found = asked.map((order) => {
    const problem = learnProblem(curve, shots, firsts[order], strength, spread)
    const start = new Float64Array(parameters)
    const known = before.find((belief) => belief.order === order)
    if (known !== undefined && known.theta.length + known.misses.length <= parameters) {
      start.set(known.theta)
      start.set(known.misses, shared)
    }
    const { theta, cost, residuals, jacobian } = levenbergMarquardt(problem, start, limits)
    const { covariance, logDeterminant } = posterior(jacobian, strength)
    return {
      order,
      evidence: ln(chainOrders[order]) - cost / 2 - logDeterminant / 2,
      misfit: newestMisfit(residuals, theta, strength, shots.at(-2)?.signal.length ?? 0),
      theta: theta.slice(0, shared),
      misses: theta.slice(shared),
      factor: rootOf(covariance, shared),
      // The misses go with the shared numbers only through what is believed of them: at their best values.
      chain: (numbers: ArrayLike<number>) => {
        const whole = theta.slice()
        for (let j = 0; j < shared; j++) whole[j] = numbers[j]!
        return problem.chain(whole)
      },
    }
  })
  const top = Math.max(...found.map(({ evidence }) => evidence))
  const sum = found.reduce((total, { evidence }) => total + exp(evidence - top), 0)
  return found.map((belief) => ({ ...belief, probability: exp(belief.evidence - top) / sum }))
}

/** @param rows of the newest turn's signal; three of its pedestal follow */
function newestMisfit(
  residuals: Float64Array,
  theta: Float64Array,
  strength: Float64Array,
  rows: number,
): number {
  let sum = 0
  for (const value of residuals.subarray(-rows - 3)) sum += value * value
  for (let j = Math.max(shared, theta.length - turnSize); j < theta.length; j++)
    sum += (strength[j]! * theta[j]!) ** 2
  return Math.sqrt(sum / (rows + 3))
}

/** ln of the determinant of JᵀJ + prior over the prior's. */
export const logDeterminantOf = (J: Float64Array, strength: Float64Array): number =>
  posterior(J, strength).logDeterminant

/** (JᵀJ + prior)⁻¹ of the shared numbers, and ln of the determinant of JᵀJ + prior over the prior's. */
function posterior(
  J: Float64Array,
  strength: Float64Array,
): { covariance: Float64Array; logDeterminant: number } {
  const m = strength.length
  const normal = new Float64Array(m * m)
  for (let i = 0; i < J.length; i += m) {
    for (let j = 0; j < m; j++) {
      const a = J[i + j]! / strength[j]!
      for (let k = 0; k <= j; k++) normal[j * m + k]! += (a * J[i + k]!) / strength[k]!
    }
  }
  for (let j = 0; j < m; j++) normal[j * m + j]! += 1
  // At least the identity, so positive.
  cholesky(normal, m)
  let logDeterminant = 0
  for (let j = 0; j < m; j++) logDeterminant += 2 * ln(normal[j * m + j]!)
  const covariance = new Float64Array(shared * shared)
  const column = new Float64Array(m)
  for (let c = 0; c < shared; c++) {
    column.fill(0)
    column[c] = 1
    divideBySquare(normal, column)
    for (let r = 0; r < shared; r++) covariance[r * shared + c] = column[r]! / (strength[r]! * strength[c]!)
  }
  return { covariance, logDeterminant }
}

/** L of S = L·Lᵀ, row-major, m×m, its lower half; directions without spread, to rounding, have none. */
function rootOf(S: ArrayLike<number>, m: number): Float64Array {
  const root = Float64Array.from(S)
  cholesky(root, m, { least: 1e-24, instead: 0 })
  return root
}
