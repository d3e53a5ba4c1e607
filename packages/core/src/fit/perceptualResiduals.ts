import { ciede2000Jet, jetSize } from '../colour/ciede2000.ts'
import { viewLabSlope } from '../colour/viewing.ts'
import { hypot } from '../elementary/hypot.ts'
import type { Design } from '../model/design.ts'
import type { MatchProblem } from '../problem/matchProblem.ts'
import type { LeastSquaresProblem } from '../solver/leastSquaresProblem.ts'
import { chainSlopes } from './chainSlopes.ts'
import type { Residuals } from './residuals.ts'

/** The residuals of a match by ΔE00. */
export interface PerceptualResiduals extends Residuals {
  /** The norm of the residuals of patch `p` at θ: its ΔE00 times the root of its weight. NaN where θ has no meaning. */
  difference(theta: Float64Array, p: number): number
}

/** Three residuals per patch whose squares add up to weight · ΔE00², with exact derivatives. */
export function perceptualResiduals(
  problem: MatchProblem,
  design: Design,
  prior?: LeastSquaresProblem['prior'],
): PerceptualResiduals {
  const { samples, viewing } = problem
  const { count, weight } = samples
  const targetLab = problem.targetLab()
  const lab = new Float64Array(3)
  const rootWeight = Float64Array.from(weight, Math.sqrt)
  const light = new Float64Array(3)
  const labSlope = new Float64Array(9)
  const jet = new Float64Array(jetSize)
  const slope = new Float64Array(9)
  const one = new Float64Array(3)

  /** Residuals of patch `p` into `residuals[to…]`; their derivatives by Lab, without the weight, stay in `jet` and `labSlope`. */
  const evaluatePatch = (theta: Float64Array, p: number, residuals: Float64Array, to: number) => {
    design.output(theta, p, light)
    viewLabSlope(viewing, light[0]!, light[1]!, light[2]!, lab, labSlope)
    ciede2000Jet(
      lab[0]!,
      lab[1]!,
      lab[2]!,
      targetLab[3 * p]!,
      targetLab[3 * p + 1]!,
      targetLab[3 * p + 2]!,
      residuals,
      to,
      jet,
    )
    const scale = rootWeight[p]!
    residuals[to]! *= scale
    residuals[to + 1]! *= scale
    residuals[to + 2]! *= scale
  }
  /** ∂residual/∂light of the patch that `jet` and `labSlope` are of, 3×3, into `slope`. */
  const slopesOf = (scale: number) => {
    const ofL = scale * jet[0]!
    const firstOfA = scale * jet[1]!
    const firstOfB = scale * jet[2]!
    const secondOfA = scale * jet[3]!
    const secondOfB = scale * jet[4]!
    for (let c = 0; c < 3; c++) {
      const a = labSlope[3 + c]!
      const b = labSlope[6 + c]!
      slope[c] = ofL * labSlope[c]!
      slope[3 + c] = firstOfA * a + firstOfB * b
      slope[6 + c] = secondOfA * a + secondOfB * b
    }
  }
  const input = new Float64Array(9)
  const { target } = samples
  /** Of the patch evaluated last. ΔE00 as three residuals only changes its sign where the two colours change places. */
  const slopesByTarget = (p: number, byTarget: Float64Array) => {
    const [l, a, b] = [lab[0]!, lab[1]!, lab[2]!]
    viewLabSlope(viewing, target[3 * p]!, target[3 * p + 1]!, target[3 * p + 2]!, lab, labSlope)
    ciede2000Jet(lab[0]!, lab[1]!, lab[2]!, l, a, b, one, 0, jet)
    slopesOf(-rootWeight[p]!)
    byTarget.set(slope, 9 * p)
  }
  return {
    parameters: design.parameters,
    residuals: 3 * count,
    ...(prior === undefined ? {} : { prior }),
    ...(design.products === undefined ? {} : { products: design.products }),
    evaluate(theta, residuals, jacobian, bySource, byTarget) {
      if (!design.prepare(theta)) return false
      for (let p = 0; p < count; p++) {
        evaluatePatch(theta, p, residuals, 3 * p)
        if (jacobian !== undefined || bySource !== undefined) slopesOf(rootWeight[p]!)
        if (jacobian !== undefined) design.chain(theta, p, slope, jacobian, 3 * p * design.parameters)
        if (bySource !== undefined) {
          design.inputSlope(theta, p, input)
          chainSlopes(slope, input, bySource, 9 * p)
        }
        if (byTarget !== undefined) slopesByTarget(p, byTarget)
      }
      return true
    },
    difference(theta, p) {
      if (!design.prepare(theta)) return Number.NaN
      evaluatePatch(theta, p, one, 0)
      return hypot(one[0]!, one[1]!, one[2]!)
    },
  }
}
