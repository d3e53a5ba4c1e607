import type { Warning } from '../errors.ts'
import type { Vec3 } from '../linear/mat3.ts'

/** What a show's cameras go to, as it stands in a show file. */
export type TargetSpec =
  | { readonly camera: string }
  | { readonly reference: string }
  | { readonly consensus: true; readonly weights?: Readonly<Record<string, number>> }

/** Where a camera's patches are to go. */
export interface Target {
  /** By patch name: linear light in the working primaries. */
  readonly light: ReadonlyMap<string, Vec3>
  /** By patch name: standard error of `light`, same units. Empty where the values are taken as exact. */
  readonly standardError: ReadonlyMap<string, Vec3>
  readonly warnings: readonly Warning[]
}
