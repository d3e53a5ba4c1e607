import { inverse3, type Mat3 } from '../../linear/mat3.ts'
import { levenbergMarquardt } from '../../solver/levenbergMarquardt.ts'
import type { Curve } from '../chain/chain.ts'
import type { Sight } from '../sight.ts'
import { oneShotProblem, oneShotParameters as parameters } from './oneShotProblem.ts'

/** What one shot says of a camera by itself: K · decode(V − p) is the target's light in the camera's primaries. */
export interface OneShot {
  readonly matrix: Mat3
  readonly pedestal: Float64Array
  /** Covariance of the pedestal, 3×3 row-major. */
  readonly covariance: Float64Array
}

/**
 * The nine terms of K and the three of the pedestal by least ΣΔE00², the pedestal drawn weakly to none.
 *
 * @param targetInCamera the target's light in the camera's primaries, three per patch.
 */
export function oneShot(
  curve: Curve,
  signal: Float64Array,
  sight: Sight,
  targetInCamera: ArrayLike<number>,
): OneShot {
  const strength = Float64Array.from({ length: parameters }, (_, j) => (j < 9 ? 0 : 1 / curve.pedestalSpread))
  const problem = oneShotProblem(curve, signal, sight, strength)
  const start = new Float64Array(parameters)
  // Gains from the sums of light, channel by channel: near enough to start from.
  for (let c = 0; c < 3; c++) {
    let from = 0
    let to = 0
    for (let i = c; i < signal.length; i += 3) {
      if (Number.isNaN(signal[i])) continue
      from += curve.decode(signal[i]!, c as 0)
      to += targetInCamera[i]!
    }
    start[4 * c] = to / from
  }
  const solution = levenbergMarquardt(problem, start, { maxIterations: 40, costTolerance: 1e-7 })
  const { theta, jacobian, residuals } = solution
  const square = residuals.reduce((sum, r) => sum + r * r, 0)
  const variance = square / Math.max(signal.length - parameters, 1)
  return {
    matrix: [
      [theta[0]!, theta[1]!, theta[2]!],
      [theta[3]!, theta[4]!, theta[5]!],
      [theta[6]!, theta[7]!, theta[8]!],
    ],
    pedestal: theta.slice(9),
    covariance: pedestalCovariance(jacobian, strength, variance),
  }
}

/** The pedestal's block of (JᵀJ/s² + prior)⁻¹, by Schur's complement of the nine terms. */
function pedestalCovariance(J: Float64Array, strength: Float64Array, variance: number): Float64Array {
  const m = parameters
  const normal = Array.from({ length: m }, () => new Float64Array(m))
  for (let i = 0; i < J.length; i += m) {
    for (let j = 0; j < m; j++) for (let k = 0; k < m; k++) normal[j]![k]! += J[i + j]! * J[i + k]!
  }
  for (let j = 0; j < m; j++) normal[j]![j]! += strength[j]! ** 2
  // Gauss elimination of the first nine.
  for (let j = 0; j < 9; j++) {
    for (let i = j + 1; i < m; i++) {
      const factor = normal[i]![j]! / normal[j]![j]!
      for (let k = j; k < m; k++) normal[i]![k]! -= factor * normal[j]![k]!
    }
  }
  const at = (r: number, c: number) => normal[9 + r]![9 + c]!
  const rest: Mat3 = [
    [at(0, 0), at(0, 1), at(0, 2)],
    [at(1, 0), at(1, 1), at(1, 2)],
    [at(2, 0), at(2, 1), at(2, 2)],
  ]
  return Float64Array.from(inverse3(rest).flat(), (value) => value * variance)
}
