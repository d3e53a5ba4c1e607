import type * as shape from '../shape/match.ts'
import type { Shape } from '../shape/shape.ts'

/* The types of a match. Their fields stand, with what they mean, in `shape/match.ts`. */

/** A colour difference at the three stages: as shot, balanced (lift and gain only), matched. */
export interface Stages extends Shape<typeof shape.stages> {}

/** How one patch came out. All light is linear, in the working primaries. */
export interface PatchResult extends Shape<typeof shape.patchResult> {}

/** Mean, 95th percentile (linear interpolation between ranks) and worst of ΔE00 over the patches used. */
export interface Summary extends Shape<typeof shape.summary> {}

export interface Summaries extends Shape<typeof shape.summaries> {}

/** One parameter's 95 % interval. */
export interface Interval extends Shape<typeof shape.interval> {}

/** Intervals of the parameters of a linear kind, in the shape of the parameters. */
export interface Intervals extends Shape<typeof shape.intervals> {}

/** A cause of what remains. */
export type BudgetPart = Shape<typeof shape.budgetPart>

/** What the remaining colour difference is made of, as shares of the mean ΔE00 after the match; they add up to 1. */
export interface ResidualBudget extends Shape<typeof shape.residualBudget> {}

/** The light across the chart relative to the target, as a smooth field. */
export interface Evenness extends Shape<typeof shape.evenness> {}

/** What the fit says of itself. */
export interface Diagnosis extends Shape<typeof shape.diagnosis> {}

/** A term of a correction with its 95 % interval. */
export interface CurveTerm extends Shape<typeof shape.curveTerm> {}

/** The curve that was fitted together with a match. */
export interface CurveCorrection extends Shape<typeof shape.curveCorrection> {}

/** Why the declared encoding is in doubt. */
export interface EncodingDoubt extends Shape<typeof shape.encodingDoubt> {}

/** What to set at a camera. */
export interface Setting extends Shape<typeof shape.setting> {}

/** The match of a camera: fitted to the target. */
export interface FittedMatch extends Shape<typeof shape.fittedMatch> {}

/** The reference camera, which the others are matched to. */
export interface ReferenceMatch extends Shape<typeof shape.referenceMatch> {}

/** One camera in one setup. */
export type CameraMatch = FittedMatch | ReferenceMatch
