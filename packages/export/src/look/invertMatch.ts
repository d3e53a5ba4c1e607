import {
  apply3,
  diagonal3,
  IsochipError,
  invert3,
  type MatchModel,
  multiply3,
  primariesConversion,
  type Vec3,
} from '@isochip/core'
import type { EncodedMatch } from '../bake/matchTransform.ts'

/**
 * The match that takes the output's codes back to the camera's. Its model is again lift, gain and a matrix with rows
 * that sum to 1 (or a conversion), from the output's primaries to the camera's.
 *
 * @throws IsochipError `match-invalid` for a root-polynomial match, or a matrix or gain that cannot be undone.
 */
export function invertMatch(match: EncodedMatch): EncodedMatch {
  const { source, output, model, working } = match
  const fail = (why: string): never => {
    throw new IsochipError('match-invalid', `the match has no inverse: ${why}`)
  }
  const back = { ...match, source: output, output: source, working: source.primaries }
  const toOutput = multiply3(primariesConversion(working, output.primaries), model.matrix)
  if (model.kind === 'conversion') {
    const matrix = invert3(toOutput) ?? fail('its matrix is singular')
    return { ...back, model: { kind: 'conversion', matrix } }
  }
  if (model.rootPolynomial !== undefined) fail('it is a root polynomial')
  // Forward: y = forward · (x + lift), so x = backward · y − lift.
  const forward = multiply3(toOutput, diagonal3(model.gain))
  const backward = invert3(forward) ?? fail('its matrix or gain is singular')
  // Split backward · y + t into matrix · (gain ∘ (y + lift)) with rows that sum to 1: gain = 1 ⊘ (backward⁻¹ · 1).
  const ones = apply3(forward, [1, 1, 1])
  if (!ones.every((x) => x > 0)) fail('white does not go to a colour above black in every channel')
  const gain: Vec3 = [1 / ones[0], 1 / ones[1], 1 / ones[2]]
  const lift = apply3(forward, [-model.lift[0], -model.lift[1], -model.lift[2]])
  const inverse: MatchModel = {
    kind: 'lift-gain-matrix',
    lift,
    gain,
    matrix: multiply3(backward, diagonal3(ones)),
  }
  return { ...back, model: inverse }
}
