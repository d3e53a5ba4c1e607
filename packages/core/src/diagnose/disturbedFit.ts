import type { Fit } from '../fit/fitKind.ts'
import { residualsOf } from '../fit/residualsOf.ts'
import { type MatchProblem, matchProblem } from '../problem/matchProblem.ts'
import { divideByTriangle } from '../solver/divideByTriangle.ts'
import { type LeastSquaresSolution, levenbergMarquardt } from '../solver/levenbergMarquardt.ts'
import { scaleColumns } from '../solver/scaleColumns.ts'
import { triangularise } from '../solver/triangularise.ts'

/**
 * A disturbance of the readings by factors exp(Σ η_k ψ_k): `psi[(p · terms + k) · 3 + channel]`. Light that is uneven
 * over the chart and a transfer curve that is off by a power are both of this form.
 */
export interface Disturbance {
  readonly terms: number
  readonly psi: Float64Array
}

export interface DisturbedFit {
  /** The strengths η. */
  readonly eta: Float64Array
  /** Standard error of Σ c_k η_k, from the scatter that remains. */
  standardError(c: readonly number[]): number
  /** The match's θ, fitted together with η. */
  readonly theta: Float64Array
  /** With what the fit's pull adds to it. */
  readonly cost: number
  /** Residuals less parameters. */
  readonly freedom: number
}

/**
 * Fit a match and a disturbance of its readings together. `undefined` where the patches do not carry both.
 */
export function disturbedFit(
  fit: Fit,
  problem: MatchProblem,
  disturbance: Disturbance,
): DisturbedFit | undefined {
  const { terms, psi } = disturbance
  const { samples, active } = problem
  const { count } = samples
  // The design reads its source from these samples, so that disturbing them disturbs every kind alike.
  const source = Float64Array.from(samples.source)
  const moved = matchProblem({ ...samples, source }, problem)
  const design = moved.design(fit.kind)
  const plain = residualsOf(moved, design)
  const m = design.parameters
  const width = m + terms
  const freedom = 3 * active.length - width
  if (freedom < 6) return undefined
  const inner = new Float64Array(3 * count * m)
  const raised = new Float64Array(3 * count)
  const lowered = new Float64Array(3 * count)
  const disturb = (theta: Float64Array) => {
    for (let p = 0; p < count; p++) {
      for (let c = 0; c < 3; c++) {
        let sum = 0
        for (let k = 0; k < terms; k++) sum += theta[m + k]! * psi[(p * terms + k) * 3 + c]!
        source[3 * p + c] = samples.source[3 * p + c]! * Math.exp(sum)
      }
    }
  }
  /** Residuals with one channel's source scaled in every patch: each patch's residuals depend on its own source only. */
  const scaled = (theta: Float64Array, channel: number, factor: number, out: Float64Array) => {
    for (let p = 0; p < count; p++) source[3 * p + channel]! *= factor
    plain.evaluate(theta, out)
    for (let p = 0; p < count; p++) source[3 * p + channel]! /= factor
  }
  const step = 1e-5
  // Drawn as the fit was, so that the disturbance gets no credit for what only undoing the pull would gain.
  const padded = (values: Float64Array) => Float64Array.from([...values, ...new Float64Array(terms)])
  const prior = fit.prior && {
    strength: padded(fit.prior.strength),
    centre: padded(fit.prior.centre),
    ...(fit.prior.form === undefined ? {} : { form: widened(fit.prior.form, m, width) }),
  }
  const solution = levenbergMarquardt(
    {
      parameters: width,
      residuals: 3 * count,
      ...(prior === undefined ? {} : { prior }),
      evaluate(theta, residuals, jacobian) {
        for (let k = 0; k < terms; k++) if (!(Math.abs(theta[m + k]!) < 3)) return false
        disturb(theta)
        const head = theta.subarray(0, m)
        if (!plain.evaluate(head, residuals, inner)) return false
        for (let i = 0; i < 3 * count; i++) {
          for (let j = 0; j < m; j++) jacobian[i * width + j] = inner[i * m + j]!
        }
        for (let c = 0; c < 3; c++) {
          scaled(head, c, 1 + step, raised)
          scaled(head, c, 1 - step, lowered)
          for (let p = 0; p < count; p++) {
            for (let i = 3 * p; i < 3 * p + 3; i++) {
              const slope = (raised[i]! - lowered[i]!) / (2 * step)
              for (let k = 0; k < terms; k++) {
                const part = slope * psi[(p * terms + k) * 3 + c]!
                const at = i * width + m + k
                jacobian[at] = c === 0 ? part : jacobian[at]! + part
              }
            }
          }
        }
        return true
      },
    },
    [...fit.theta, ...new Float64Array(terms)],
    { maxIterations: 60, costTolerance: 1e-9 },
  )
  if (solution.stopped === 'start') return undefined
  return {
    eta: solution.theta.slice(m),
    standardError: (c) => Math.sqrt(solution.cost / freedom) * lengthOf(c, solution, m),
    theta: solution.theta.slice(0, m),
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

/** A hair on the curvature of each parameter keeps terms that the patches do not show from stopping the rest. */
const hair = 1e-12

/** Root of s·(JᵀJ)⁻¹·sᵀ for a row s that is zero up to the parameter `from`, and `c` from there on. */
function lengthOf(c: readonly number[], { residuals, jacobian }: LeastSquaresSolution, from: number): number {
  const rows = residuals.length
  const width = from + c.length
  const J = new Float64Array((rows + width) * width)
  J.set(jacobian)
  const scale = scaleColumns(J, rows, width)
  for (let j = 0; j < width; j++) J[(rows + j) * width + j] = Math.sqrt(hair)
  triangularise(J, rows + width, width, width)
  const s = new Float64Array(width)
  for (const [k, value] of c.entries()) s[from + k] = value / scale[from + k]!
  divideByTriangle(J, s, 1, width)
  return Math.hypot(...s)
}
