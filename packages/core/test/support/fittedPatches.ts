import type { FitOptions, MatchInput } from '@isochip/core'
import { primariesConversion } from '../../src/colour/primaries.ts'
import { viewing } from '../../src/colour/viewing.ts'
import { fitDeclared } from '../../src/match/fitShot.ts'
import { outlierWarnings } from '../../src/match/matchWarnings.ts'
import { patchResults } from '../../src/match/patchResults.ts'

/** Model, patches and outliers of a match, without its diagnosis and its doubts, which take ten times as long. */
export function fittedPatches(input: MatchInput, options: FitOptions) {
  const { encoding, working, target } = input
  const { prepared, choice } = fitDeclared(input, options, {
    declared: primariesConversion(encoding.primaries, working),
    viewing: viewing(working, options.view ?? 'scene'),
    objective: options.objective ?? 'perceptual',
  })
  const { problem, fit } = choice
  const { model } = fit
  return {
    model,
    patches: patchResults(prepared, problem, working, target, {
      fit,
      balanced: model,
      left: [],
      factors: undefined,
    }),
    warnings: outlierWarnings(prepared, problem),
  }
}
