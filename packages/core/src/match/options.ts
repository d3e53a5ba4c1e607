import { type PatchRole, patchRoles } from '../chart/chart.ts'
import { byName, flag, group, numberFrom, type OptionChecks, oneOf } from '../checkOptions.ts'
import { viewCheck } from '../colour/viewer.ts'
import { type ModelKind, modelKinds } from '../model/modelKind.ts'

/** How to fit. Every field has a default, given with it. */
export interface FitOptions {
  /** Default `lift-gain-matrix`. `auto`: the simplest kind that predicts unseen patches as well as the best. */
  readonly model?: ModelKind | 'auto'
  /** Default `perceptual`: least ΣΔE00². `linear`: least squares in linear light, closed form. */
  readonly objective?: 'linear' | 'perceptual'
  /** Uneven light: `report` (default) estimates it, `divide` also takes it out of the readings, `off` neither. */
  readonly evenness?: 'off' | 'report' | 'divide'
  /**
   * Default `declared`: the encoding's curve is right. `corrected`: it is corrected by a smooth curve, and uneven light
   * is divided out unless `evenness` says otherwise, all fitted together with the match. `measured`: the same, from a
   * curve that is measured on the grey scale in place of the declared one.
   */
  readonly curve?: 'declared' | 'corrected' | 'measured'
  /** The light on which colour differences are computed: of the scene (default), or as BT.1886 displays it. */
  readonly view?: 'scene' | 'display'
  /** Factors on the patches' weights (default 1): by name, and by role. */
  readonly weights?: {
    readonly patches?: Readonly<Record<string, number>>
    readonly roles?: Readonly<Partial<Record<PatchRole, number>>>
  }
  /** Default true: patches that do not fit the others are found, down-weighted and named. */
  readonly robust?: boolean
  /** Default 0.01: a patch with more than this share of its pixels clipped is left out. */
  readonly clippedShare?: number
}

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
