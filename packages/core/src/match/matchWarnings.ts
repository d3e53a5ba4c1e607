import type { Warning } from '../errors.ts'
import type { Fit } from '../fit/fitKind.ts'
import type { MatchProblem } from '../problem/matchProblem.ts'
import type { Prepared } from '../samples/prepareSamples.ts'
import type { Summaries } from './result.ts'

export function outlierWarnings(prepared: Prepared, { samples }: MatchProblem): Warning[] {
  return prepared.places.flatMap((place, sample) => {
    const asked = prepared.samples.weight[sample]!
    if (samples.weight[sample] === asked) return []
    const { patch } = prepared.lights[place]!
    return [
      {
        code: 'patch-outlier',
        message: `patch "${patch}" is an outlier and down-weighted: is there a reflection, a shadow or dirt on it, or are two patches swapped?`,
        place: { patch },
      },
    ]
  })
}

export function trustWarnings(summary: Summaries, fit: Fit, used: number): Warning[] {
  const warnings: Warning[] = []
  if (!fit.converged) {
    warnings.push({ code: 'not-converged', message: `the fit stopped before its end: ${fit.stopped}` })
  }
  if (used < fit.design.columns + 3) {
    warnings.push({
      code: 'few-patches',
      message: `${used} patches are hardly more than the ${fit.design.columns} that the model ${fit.kind} needs at least: the match is worse than its residuals look`,
    })
  }
  if (fit.regularised && fit.model.rootPolynomial === undefined) {
    warnings.push({
      code: 'regularised',
      message: `too few independent patches for the model ${fit.kind}: its matrix is regularised towards lift and gain with the declared primaries`,
    })
  }
  const { leaveOneOut: alone, after } = summary
  if (alone !== undefined && alone.mean > 2 * after.mean && alone.mean - after.mean > 0.3) {
    warnings.push({
      code: 'overfitted',
      message: `patches that the fit has not seen come out at mean ΔE00 ${alone.mean.toFixed(2)}, those it has seen at ${after.mean.toFixed(2)}: a simpler model, or more patches, would be safer`,
    })
  }
  return warnings
}
