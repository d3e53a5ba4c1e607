import type { IlluminantName, Xy } from '../colour/illuminants.ts'
import type { Vec3 } from '../linear/mat3.ts'
import type { PatchRole } from './patchRoles.ts'

export interface ChartPatch {
  /** Unique within the chart. Readings and reports name a patch by it. */
  readonly name: string
  readonly role?: PatchRole
  /** Reference value in the chart's `reference.space`. XYZ and xyY with Y = 1 for a perfect diffuser; Lab 0…100. */
  readonly value?: Vec3
  /** Spectral reflectance at the chart's `wavelengths`, 1 for a perfect diffuser. */
  readonly reflectance?: readonly number[]
}

/** What the reference values of a chart's patches are relative to. */
export interface ChartReference {
  readonly space: 'XYZ' | 'xyY' | 'Lab'
  /** A CIE illuminant, or the chromaticity of the white. */
  readonly illuminant: IlluminantName | { readonly white: Xy }
  /** Standard observer, degrees. */
  readonly observer: 2 | 10
  /** Where the values come from. */
  readonly source?: string
}

/**
 * Geometry of the patch grid as fractions of its width and height, measured between the outer edges of the outer
 * patches: `(columns − 1) · pitch[0] + patch[0] = 1`, and so for the rows.
 */
export interface ChartGeometry {
  /** Distance between the centres of neighbouring patches: across, down. */
  readonly pitch: readonly [number, number]
  /** Size of a patch: across, down. */
  readonly patch: readonly [number, number]
  /** Width of the grid over its height. */
  readonly aspect: number
}

export interface Chart {
  readonly id: string
  readonly title: string
  readonly rows: number
  readonly columns: number
  /** Row by row from the first patch; rows × columns of them. */
  readonly patches: readonly ChartPatch[]
  readonly reference?: ChartReference
  /** Where the patches' reflectances were measured: nm, ascending. */
  readonly wavelengths?: readonly number[]
  readonly geometry: ChartGeometry
  /** ISO dates (YYYY-MM-DD): when the values were measured, and until when the chart is to be trusted. */
  readonly measured?: string
  readonly replaceBy?: string
}

/** Is the patch meant to be without hue? Whites and blacks are neutrals too. */
export function isNeutral(patch: ChartPatch): boolean {
  return patch.role === 'neutral' || patch.role === 'white' || patch.role === 'black'
}
