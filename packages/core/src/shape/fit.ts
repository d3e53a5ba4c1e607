import * as z from 'zod'
import type { PatchRole } from '../chart/patchRoles.ts'
import { modelKinds } from '../model/modelKind.ts'

const weight = z.number().nonnegative()

const roles = {
  neutral: weight.exactOptional(),
  black: weight.exactOptional(),
  white: weight.exactOptional(),
  step: weight.exactOptional(),
  skin: weight.exactOptional(),
  primary: weight.exactOptional(),
  secondary: weight.exactOptional(),
  'true-black': weight.exactOptional(),
} satisfies Record<PatchRole, z.ZodType>

export const requestedKind = z.enum([...modelKinds, 'auto'])

export const view = z.enum(['scene', 'display'])

/** How to fit. Every field has a default, given with it. */
export const fitOptions = z.strictObject({
  /** Default `lift-gain-matrix`. `auto`: the simplest kind that predicts unseen patches as well as the best. */
  model: requestedKind.exactOptional(),
  /** Default `perceptual`: least ΣΔE00². `linear`: least squares in linear light, closed form. */
  objective: z.enum(['linear', 'perceptual']).exactOptional(),
  /** Uneven light: `report` (default) estimates it, `divide` also takes it out of the readings, `off` neither. */
  evenness: z.enum(['off', 'report', 'divide']).exactOptional(),
  /**
   * Default `declared`: the encoding's curve is right. `corrected`: it is corrected by a smooth curve, and uneven light
   * is divided out unless `evenness` says otherwise, all fitted together with the match. `measured`: the same, from a
   * curve that is measured on the grey scale in place of the declared one.
   */
  curve: z
    .enum(['declared', 'corrected', 'measured'])
    .describe(
      'Is the declared curve right? Corrected: a smooth correction of it, and the light over the chart, are fitted together with the match. Measured: the same from a curve that is measured on the grey scale.',
    )
    .exactOptional(),
  /** The light on which colour differences are computed: of the scene (default), or as BT.1886 displays it. */
  view: view.exactOptional(),
  /** Factors on the patches' weights (default 1): by name, and by role. */
  weights: z
    .strictObject({
      patches: z.record(z.string(), weight).exactOptional(),
      roles: z.strictObject(roles).exactOptional(),
    })
    .exactOptional(),
  /** Default true: patches that do not fit the others are found, down-weighted and named. */
  robust: z.boolean().exactOptional(),
  /** Default 0.01: a patch with more than this share of its pixels clipped is left out. */
  clippedShare: z.number().min(0).max(1).exactOptional(),
})
