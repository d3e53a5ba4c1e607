import { identity3, type Mat3, multiply3 } from '../linear/mat3.ts'
import { cholesky, divideBySquare } from '../solver/cholesky.ts'
import { levenbergMarquardt } from '../solver/levenbergMarquardt.ts'
import { behindAfter, type Chain, type Curve, turnSignal } from './chain.ts'
import { choleskyFactor } from './cholesky.ts'
import { groupOf, turnSize } from './controls.ts'
import { differenced } from './differenced.ts'

/** The six terms of what stands behind the gains, before anybody has lined the camera up: rg, rb, gr, gb, br, bg. */
export interface MatrixPrior {
  readonly mean: readonly number[]
  /** 6×6. */
  readonly covariance: readonly (readonly number[])[]
}

/** One shot of a camera with what was asked for after it. */
export interface ShotSignal {
  /** Code values, fractions of the nominal range, three a patch; NaN for a patch that cannot be used. */
  readonly signal: Float64Array
  /** What the shot by itself says of the pedestal, and how sure it is: three standard errors. */
  readonly pedestal: ArrayLike<number>
  readonly pedestalError: ArrayLike<number>
  /** Twelve numbers; undefined after the last shot. */
  readonly asked?: Float64Array
}

/** What is believed of one camera: where its gains stand, how its matrices are, how much its controls act. */
export interface ChainBelief {
  readonly order: 'before-matrix' | 'after-matrix'
  /** Of all orders; they add up to 1. */
  readonly probability: number
  /** ln of the evidence, up to what all have in common; for comparing what may have been done between two shots. */
  readonly evidence: number
  /** Root mean square of what the shots miss the chain by, in standard deviations: around 1 where it explains them. */
  readonly misfit: number
  /**
   * Thirteen numbers: six of the matrix in units of the prior's spread, ln of how much each group of controls acts,
   * the pedestal of the first shot.
   */
  readonly theta: Float64Array
  /** Cholesky factor of their covariance, 13×13. */
  readonly factor: Float64Array
  /** The chain as it now is, by those numbers. */
  chain(theta: ArrayLike<number>): Chain
}

/** Standard deviation of ln of how much a control acts: common practice, no source. */
const actionSpread = 0.12
/** How far what is done misses what is asked besides: steps of the control, a hand's accuracy. Stops, ln gain, terms, signal. */
const missSpread = Float64Array.from({ length: turnSize }, (_, i) =>
  i === 0 ? 0.03 : i < 3 ? 0.01 : i < 9 ? 0.008 : 0.002,
)
/** Standard deviation of a patch's signal against what the chain says of it. */
const signalSpread = 0.004
/** What a shot says of the pedestal is off by this besides, since flare and a wrong gamma look alike. */
const curveSpread = 0.008
/** Where gains stand behind the maker's matrix only the camera's own one is behind them: near none. */
const ownMatrixSpread = 0.06
const orders = [
  { order: 'before-matrix', prior: 0.75 },
  { order: 'after-matrix', prior: 0.25 },
] as const

/** Numbers of the chain that all rounds share. */
const shared = 13

/**
 * What the shots of one camera say of its chain: maximum a posteriori over all pairs of consecutive shots, for each
 * order of gains and matrix, with their evidence (Laplace).
 *
 * @param toPrimaries BT.709, in which the prior stands → the camera's primaries.
 */
export function learnChain(
  curve: Curve,
  shots: readonly ShotSignal[],
  prior: MatrixPrior,
  toPrimaries: Mat3,
): ChainBelief[] {
  const pairs = shots
    .slice(0, -1)
    .map((shot, i) => ({ ...shot, asked: shot.asked!, next: shots[i + 1]!.signal }))
  const root = choleskyFactor(prior.covariance.flat(), 6)
  const found = orders.map(({ order, prior: odds }) => {
    const first = (theta: ArrayLike<number>): Mat3 => {
      const terms = new Float64Array(9)
      for (let i = 0; i < 6; i++) {
        let term = order === 'before-matrix' ? prior.mean[i]! : 0
        if (order === 'before-matrix') for (let k = 0; k <= i; k++) term += root[i * 6 + k]! * theta[k]!
        else term = ownMatrixSpread * theta[i]!
        terms[3 + i] = term
      }
      const built = behindAfter(identity3, terms)
      return order === 'before-matrix' ? multiply3(toPrimaries, built) : built
    }
    /** What was done after shot `r`, by the shared numbers and the misses of that round. */
    const done = (theta: ArrayLike<number>, r: number, out: Float64Array) => {
      const asked = pairs[r]!.asked
      for (let i = 0; i < turnSize; i++) {
        out[i] = asked[i]! * Math.exp(theta[6 + groupOf[i]!]!) + theta[shared + turnSize * r + i]!
      }
    }
    const parameters = shared + turnSize * pairs.length
    const u = new Float64Array(turnSize)
    const pedestal = new Float64Array(3)
    const chain = (theta: ArrayLike<number>): Chain => {
      let behind = first(theta)
      const raised = [theta[10]!, theta[11]!, theta[12]!]
      for (let r = 0; r < pairs.length; r++) {
        done(theta, r, u)
        behind = behindAfter(behind, u)
        for (let c = 0; c < 3; c++) raised[c]! += u[9 + c]!
      }
      return { behind, pedestal: raised }
    }
    const strength = Float64Array.from({ length: parameters }, (_, j) =>
      j < 6
        ? 1
        : j < 10
          ? 1 / actionSpread
          : j < shared
            ? 1 / curve.pedestalSpread
            : 1 / missSpread[(j - shared) % turnSize]!,
    )
    const centre = new Float64Array(parameters)
    const rows = pairs.reduce((sum, { signal }) => sum + signal.length, 3 * shots.length)
    const predicted = pairs.map(({ signal }) => new Float64Array(signal.length))
    const write = (theta: Float64Array, out: Float64Array) => {
      let behind = first(theta)
      let at = 0
      for (let c = 0; c < 3; c++) pedestal[c] = theta[10 + c]!
      const told = (shot: ShotSignal) => {
        for (let c = 0; c < 3; c++) {
          out[at++] = (pedestal[c]! - shot.pedestal[c]!) / Math.hypot(shot.pedestalError[c]!, curveSpread)
        }
      }
      told(shots[0]!)
      for (const [r, { signal, next }] of pairs.entries()) {
        done(theta, r, u)
        if (!turnSignal(curve, signal, { behind, pedestal }, u, predicted[r]!)) return false
        for (let i = 0; i < signal.length; i++) {
          const off = (predicted[r]![i]! - next[i]!) / signalSpread
          // A patch that clips in either shot says nothing.
          out[at++] = Number.isNaN(off) ? 0 : off
        }
        behind = behindAfter(behind, u)
        for (let c = 0; c < 3; c++) pedestal[c]! += u[9 + c]!
        told(shots[r + 1]!)
      }
      return true
    }
    const steps = Float64Array.from(strength, (s) => 1e-4 / s)
    const problem = differenced(rows, steps, write, { strength, centre })
    const { theta, cost, jacobian } = levenbergMarquardt(problem, centre, {
      maxIterations: 30,
      costTolerance: 1e-6,
    })
    const { covariance, logDeterminant } = posterior(jacobian, strength)
    return {
      order,
      evidence: Math.log(odds) - cost / 2 - logDeterminant / 2,
      misfit: Math.sqrt(cost / rows),
      theta: theta.slice(0, shared),
      factor: choleskyFactor(covariance, shared),
      // The misses go with the shared numbers only through what is believed of them: at their best values.
      chain: (numbers: ArrayLike<number>) => {
        const whole = theta.slice()
        for (let j = 0; j < shared; j++) whole[j] = numbers[j]!
        return chain(whole)
      },
    }
  })
  const top = Math.max(...found.map(({ evidence }) => evidence))
  const sum = found.reduce((total, { evidence }) => total + Math.exp(evidence - top), 0)
  return found.map((belief) => ({ ...belief, probability: Math.exp(belief.evidence - top) / sum }))
}

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
  for (let j = 0; j < m; j++) logDeterminant += 2 * Math.log(normal[j * m + j]!)
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
