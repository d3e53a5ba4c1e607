import { type PatchRole, patchRoles } from '../chart/patchRoles.ts'
import { byName, flag, group, numberFrom, type OptionChecks, oneOf } from '../checkOptions.ts'
import { viewCheck } from '../colour/viewing.ts'
import { modelKinds } from '../model/modelKind.ts'
import type { fitOptions } from '../shape/fit.ts'
import type { Shape } from '../shape/shape.ts'

/** How to fit. Every field has a default, given with it. */
export interface FitOptions extends Shape<typeof fitOptions> {}

const weight = numberFrom(0)

export const objectiveCheck = oneOf(['perceptual', 'linear'])
export const clippedShareCheck = numberFrom(0, 1)

export const fitOptionChecks: OptionChecks<FitOptions> = {
  model: oneOf(['auto', ...modelKinds]),
  objective: objectiveCheck,
  evenness: oneOf(['off', 'report', 'divide']),
  curve: oneOf(['declared', 'corrected', 'measured']),
  view: viewCheck,
  weights: group<NonNullable<FitOptions['weights']>>({
    patches: byName(weight),
    roles: group(
      Object.fromEntries(patchRoles.map((role) => [role, weight])) as OptionChecks<Record<PatchRole, number>>,
    ),
  }),
  robust: flag,
  clippedShare: clippedShareCheck,
}
