import type { Warning } from '../errors.ts'
import type { Vec3 } from '../linear/mat3.ts'
import type { MatchModel, ModelKind } from './model.ts'

/** A colour difference at the three stages: as shot, balanced (lift and gain only), matched. */
export interface Stages {
  readonly before: number
  readonly balanced: number
  readonly after: number
}

/** How one patch came out. All light is linear, in the working primaries. */
export interface PatchResult {
  readonly patch: string
  /** As shot: decoded and converted to the working primaries, no match. */
  readonly source: Vec3
  readonly target: Vec3
  readonly matched: Vec3
  readonly dE00: Stages
  readonly dE76: Stages
  readonly dEItp: Stages
  /** ΔE00 of this patch under a match fitted without it. Absent where that fit was not possible. */
  readonly leaveOneOut?: number
  /** Weight in the fit; 0 for a patch that was left out. */
  readonly weight: number
  /** Why the patch had no part in the fit. */
  readonly excluded?: string
}

/** Mean, 95th percentile (linear interpolation between ranks) and worst of ΔE00 over the patches used. */
export interface Summary {
  readonly mean: number
  readonly p95: number
  readonly max: number
  /** Name of the worst patch. */
  readonly worst: string
}

export interface Summaries {
  readonly before: Summary
  readonly balanced: Summary
  readonly after: Summary
  readonly leaveOneOut?: Summary
}

/** What the fit says of itself. Later stages of the solver add to it. */
export interface Diagnosis {
  /** Patches that took part. */
  readonly patchesUsed: number
  /** Free parameters of the model. */
  readonly parameters: number
  /** Numerical rank of the (column-scaled) design matrix of one output channel, and its number of columns. */
  readonly rank: number
  readonly columns: number
  /** Condition number of that matrix. */
  readonly condition: number
  readonly objective: 'linear' | 'perceptual'
  readonly iterations: number
  readonly converged: boolean
  /** Why the iteration stopped. */
  readonly stopped: string
}

/** One camera in one setup, matched. */
export interface CameraMatch {
  readonly model: MatchModel
  /** What was asked for; differs from `model.kind` only for `auto`. */
  readonly requested: ModelKind | 'auto'
  /** On which light the colour differences are computed. */
  readonly view: 'scene' | 'display'
  readonly patches: readonly PatchResult[]
  readonly summary: Summaries
  readonly diagnosis: Diagnosis
  readonly warnings: readonly Warning[]
}
