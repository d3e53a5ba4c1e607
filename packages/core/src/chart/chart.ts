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
  /** Where the patch is, on a chart of regions. */
  readonly region?: ChartRegion
}

/** A point of a chart of regions: x to the right, y down from the upper left corner, in the unit of its `size`. */
export type ChartPoint = readonly [x: number, y: number]

/** The outline of a patch: a polygon that does not cross itself, or a circle. */
export type ChartRegion =
  | { readonly polygon: readonly ChartPoint[] }
  | { readonly circle: { readonly centre: ChartPoint; readonly radius: number } }

/** A point that is marked on a chart, as where frame lines meet. */
export interface Landmark {
  readonly name: string
  readonly at: ChartPoint
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

interface ChartBase {
  readonly id: string
  readonly title: string
  readonly patches: readonly ChartPatch[]
  readonly reference?: ChartReference
  /** Where the patches' reflectances were measured: nm, ascending. */
  readonly wavelengths?: readonly number[]
  /** ISO dates (YYYY-MM-DD): when the values were measured, and until when the chart is to be trusted. */
  readonly measured?: string
  readonly replaceBy?: string
}

/** Patches of one size in rows and columns: row by row from the first, rows × columns of them. */
export interface GridChart extends ChartBase {
  readonly rows: number
  readonly columns: number
  readonly geometry: ChartGeometry
  readonly regions?: undefined
}

/** How a chart of regions is laid out. */
export interface ChartLayout {
  /** Width and height of the rectangle whose corners are the chart's, in any unit. All patches lie within it. */
  readonly size: readonly [number, number]
  readonly landmarks?: readonly Landmark[]
}

/** Patches of any shape and size anywhere: each has a `region`. */
export interface RegionChart extends ChartBase {
  readonly regions: ChartLayout
  readonly rows?: undefined
  readonly columns?: undefined
  readonly geometry?: undefined
}

/** A flat test chart: patches in a grid, or regions. */
export type Chart = GridChart | RegionChart

export const isGrid = (chart: Chart): chart is GridChart => chart.regions === undefined

/** Is the patch meant to be without hue? Whites and blacks are neutrals too. */
export function isNeutral({ role }: ChartPatch): boolean {
  return role === 'neutral' || role === 'white' || role === 'black' || role === 'step'
}
