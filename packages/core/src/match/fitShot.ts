import { type CorrectedChoice, correctCurve } from '../curve/correctCurve.ts'
import { evened, type LightField, lightField } from '../diagnose/evenness.ts'
import { isIsochipError } from '../errors.ts'
import { misreadChart, misreadError, misreadWarning } from '../misread/misreadChart.ts'
import type { Misreading } from '../misread/misreading.ts'
import { once } from '../once.ts'
import { type Measure, matchProblem } from '../problem/matchProblem.ts'
import { type Prepared, prepareSamples } from '../samples/prepareSamples.ts'
import type { Choice } from '../select/choice.ts'
import { chooseKind } from '../select/chooseKind.ts'
import type { MatchInput } from './matchInput.ts'
import type { FitOptions } from './options.ts'

export interface Fitted {
  readonly prepared: Prepared
  readonly choice: Choice
  readonly field: LightField | undefined
  /** Was the field taken out of the samples? */
  readonly divided: boolean
}

/** The match by the curve as it is declared. */
export function fitDeclared(input: MatchInput, options: FitOptions, measure: Measure): Fitted {
  const { chart, readings, encoding, target } = input
  const { model = 'lift-gain-matrix', robust = true, evenness } = options
  const prepared = prepareSamples(chart, readings, encoding, target, options)
  const names = namesOf(prepared)
  const asShot = orMisread(misreadOf(input, prepared, measure), () =>
    chooseKind(model, matchProblem(prepared.samples, measure), robust),
  )
  const field = evenness === 'off' ? undefined : lightField(chart, names, asShot.fit, asShot.problem)
  // A field that is no more than its own uncertainty is not divided out: that would only fit it to the noise.
  const divided = evenness === 'divide' && field !== undefined && field.range > 2 * field.standardError
  const choice = divided
    ? chooseKind(model, matchProblem(evened(chart, names, prepared.samples, field), measure), robust)
    : asShot
  return { prepared, choice, field, divided }
}

/** The match with the curve and the light over the chart fitted along. */
export function fitCorrected(
  curve: 'corrected' | 'measured',
  input: MatchInput,
  options: FitOptions,
  measure: Measure,
): Fitted & { readonly corrected: CorrectedChoice } {
  const corrected = correctCurve(curve, input, options, measure)
  const { prepared, choice, field } = corrected
  if (field !== undefined || options.evenness === 'off')
    return { prepared, choice, field, divided: field !== undefined, corrected }
  const stays = lightField(input.chart, namesOf(prepared), choice.fit, choice.problem)
  return { prepared, choice, field: stays, divided: false, corrected }
}

const namesOf = ({ places, lights }: Prepared): string[] => places.map((place) => lights[place]!.patch)

/** What the chart was misread as, looked for once, and only when asked. */
export const misreadOf = (
  { chart, target, working }: MatchInput,
  { lights }: Prepared,
  measure: Measure,
): (() => Misreading | undefined) => once(() => misreadChart({ chart, lights, target, working, measure }))

/** Where patches carry no match, a chart that was misread is the better thing to say. */
function orMisread<T>(misread: () => Misreading | undefined, choose: () => T): T {
  try {
    return choose()
  } catch (error) {
    const found = isIsochipError(error) ? misread() : undefined
    throw found === undefined ? error : misreadError(misreadWarning(found), error)
  }
}
