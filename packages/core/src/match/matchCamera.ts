import { describeOnSet } from '../advise/onSet.ts'
import { checkOptions } from '../checkOptions.ts'
import { primariesConversion, rgbToXyz } from '../colour/primaries.ts'
import { viewing } from '../colour/viewing.ts'
import { doubtWarning } from '../curve/doubtWarning.ts'
import { diagnose } from '../diagnose/diagnose.ts'
import { factorsByName } from '../diagnose/evenness.ts'
import { noiseAmplification } from '../diagnose/noiseAmplification.ts'
import type { Warning } from '../errors.ts'
import { given } from '../given.ts'
import { misreadWarning } from '../misread/misreadChart.ts'
import { expectedDifference } from '../prior/expectedDifference.ts'
import type { Measure } from '../problem/matchProblem.ts'
import { leaveOneOut } from '../select/leaveOneOut.ts'
import { balanced } from './balanced.ts'
import { fitCorrected, fitDeclared } from './fitShot.ts'
import type { MatchInput } from './matchInput.ts'
import { outlierWarnings, trustWarnings } from './matchWarnings.ts'
import { type FitOptions, fitOptionChecks } from './options.ts'
import { patchResults, summaries } from './patchResults.ts'
import { questioned } from './questioned.ts'
import type { FittedMatch } from './result.ts'

/**
 * Fit one camera in one setup to its target.
 *
 * Patches that clip or sit in the noise are left out and named; those that do not fit the others are down-weighted
 * and named (`robust: false` leaves them be). Everything that is not an error of the input but should be known comes
 * as a warning.
 *
 * @returns The model takes linear light in the camera's own primaries, 1 for a perfect diffuse white, to linear light in
 * `working`; it does not clip. Colour differences are ΔE00 (kL = kC = kH = 1) unless the field says otherwise.
 * @throws IsochipError `too-few-patches`, `rank-deficient`, `clipped`, `readings-invalid`, `patch-unknown`,
 * `patch-doubled`, `usage`
 */
export function matchCamera(input: MatchInput, options: FitOptions = {}): FittedMatch {
  checkOptions(options, fitOptionChecks)
  const { chart, encoding, target, working } = input
  const { model: requested = 'lift-gain-matrix', objective = 'perceptual', view = 'scene' } = options
  const declared = primariesConversion(encoding.primaries, working)
  const measure: Measure = { declared, viewing: viewing(working, view), objective }
  const { curve = 'declared' } = options
  const { prepared, choice, field, divided, corrected } =
    curve === 'declared'
      ? { ...fitDeclared(input, options, measure), corrected: undefined }
      : fitCorrected(curve, input, options, measure)
  const factors = divided && field !== undefined ? factorsByName(chart, field) : undefined
  const { problem, fit } = choice
  const left = choice.leaveOneOut ?? leaveOneOut(fit, problem)
  const patches = patchResults(prepared, problem, working, target, {
    fit,
    balanced: balanced(problem, fit),
    left,
    factors,
  })
  const used = patches.filter((patch) => patch.excluded === undefined)
  const summary = summaries(used)
  const diagnosis = diagnose({
    fit,
    problem,
    covariance: choice.covariance,
    prepared,
    field,
    divided,
    candidates: choice.candidates,
    noiseAmplification: noiseAmplification(fit.model, rgbToXyz(working)[1]),
  })
  const expected = expectedDifference(fit.model, problem, choice.informed, summary.leaveOneOut?.mean)
  const { misread, doubt } = questioned(input, options, { prepared, problem, fit, summary })
  const warnings: Warning[] = [
    ...(doubt === undefined ? [] : [doubtWarning(encoding, doubt)]),
    ...(misread === undefined ? [] : [misreadWarning(misread)]),
    ...target.warnings,
    ...prepared.warnings,
    ...(corrected?.warnings ?? []),
    ...choice.warnings,
    ...outlierWarnings(prepared, problem),
    ...diagnosis.warnings,
    ...trustWarnings(summary, fit, used.length),
  ]
  return {
    kind: 'fitted',
    model: fit.model,
    requested,
    declared,
    view,
    patches,
    summary,
    diagnosis: { ...diagnosis.diagnosis, ...given({ expected }) },
    ...given({ curve: corrected?.curve, encodingDoubt: doubt }),
    onSet: describeOnSet(fit.model, declared, working),
    warnings,
  }
}
