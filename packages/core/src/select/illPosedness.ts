import type { Covariance } from '../diagnose/covariance.ts'
import { noiseAmplification } from '../diagnose/noiseAmplification.ts'
import type { Fit } from '../fit/fitKind.ts'
import { determinant3 } from '../linear/mat3.ts'
import type { MatchProblem } from '../problem/matchProblem.ts'
import { leastSquares } from '../solver/leastSquares.ts'

/** A matrix term that the patches leave open by more than this is not a measurement. */
const openTerm = 0.5

/**
 * The terms of a second-degree root-polynomial match on two dozen good patches are below a tenth of this. Those of the
 * third degree are in the hundreds on any chart; leave-one-out and the condition tell what they are worth.
 */
const largeTerm = 30

/** Condition of the target's three columns: about ten for a chart with colours, endless for a grey scale. */
const greyTarget = 100

/**
 * The matrix over the declared conversion keeps at least this of the volume of colours. Where the patches are all grey but
 * for noise, the best guess at every output is the mean of the inputs, and that is a matrix of volume zero.
 */
const leastVolume = 0.1

/** No camera's match to another needs more; a matrix beyond it lives on differences of noise. */
const mostNoise = 8

/** Readings that repeat each other better than this do so by luck: it is what a chart's patches do from frame to frame. */
const likelyScatter = 0.1

/**
 * Why a fit must not be believed although it has one: its terms are left open by the patches, so that the numbers in
 * it are noise. `undefined` for a fit that may be believed.
 *
 * @param covarianceOf the fit's covariance, asked for only where all else can be believed.
 */
export function illPosedness(
  fit: Fit,
  problem: MatchProblem,
  covarianceOf: () => Covariance | undefined,
): string | undefined {
  if (fit.kind === 'gain' || fit.kind === 'lift-gain') return undefined
  const { model } = fit
  const terms = [...model.matrix.flat(), ...(model.rootPolynomial ?? []).flat()]
  if (!terms.every(Number.isFinite)) return 'a term is not finite'
  if (conditionOf(problem.samples.target) > greyTarget)
    return 'the target has no colours to fit a matrix to: all its patches are grey'
  if (model.rootPolynomial === undefined) {
    const volume = determinant3(model.matrix) / determinant3(problem.declared)
    if (volume < leastVolume)
      return `it would take nearly all colour out of the picture (determinant ${volume.toFixed(3)})`
  }
  const largestTerm = Math.max(...terms.map(Math.abs))
  if (fit.kind === 'root-polynomial-2' && largestTerm > largeTerm) {
    return `terms as large as ${largestTerm.toFixed(0)} cancel each other`
  }
  const amplified = Math.max(...noiseAmplification(model, [0.2126, 0.7152, 0.0722]).channels)
  if (amplified > mostNoise)
    return `it would amplify noise ${amplified.toFixed(0)} times (expected ${mostNoise} at most)`
  if (fit.kind === 'root-polynomial-2' || fit.kind === 'root-polynomial-3') return undefined
  const covariance = covarianceOf()
  if (covariance === undefined) return 'the curvature of its cost is singular'
  const largest = Math.max(...covariance.standardErrors(likelyScatter).matrix.flat())
  return largest > openTerm
    ? `a matrix term has a standard error of ${largest.toFixed(2)} (expected ${openTerm} or less)`
    : undefined
}

/** Condition number of colours, three numbers each, as the columns of a design. */
function conditionOf(colours: Float64Array): number {
  const rows = Array.from({ length: colours.length / 3 }, (_, p) => [...colours.subarray(3 * p, 3 * p + 3)])
  return leastSquares(rows, rows).condition
}
