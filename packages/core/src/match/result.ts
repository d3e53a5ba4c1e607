import type { OnSet } from '../advise/onSet.ts'
import type { Encoding } from '../encoding/encoding.ts'
import type { Warning } from '../errors.ts'
import type { Mat3, Vec3 } from '../linear/mat3.ts'
import type { MatchModel } from '../model/model.ts'
import type { ModelKind } from '../model/modelKind.ts'
import type { ExpectedDifference } from '../prior/expectedDifference.ts'

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
  /** Weight in the fit; 0 for a patch that was left out, below 1 for one that does not fit the others. */
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

/** One parameter's 95 % interval. */
export interface Interval {
  readonly standardError: number
  readonly low: number
  readonly high: number
}

type Three<T> = readonly [T, T, T]

/** Intervals of the parameters of a linear kind, in the shape of the parameters. */
export interface Intervals {
  readonly lift: Three<Interval>
  readonly gain: Three<Interval>
  readonly matrix: Three<Three<Interval>>
}

/**
 * `noise` of the readings; `clipping`, flagged or not; `unevenness`: uneven light, or veiling glare on one side; `curve`:
 * the transfer curve; `foreign`: patches that are not what the chart shows there (glare, dirt, two swapped); `spectral`:
 * sensor metamerism, what no lift, gain and matrix removes; `undetermined`: no pattern tells.
 */
export type BudgetPart =
  | 'noise'
  | 'clipping'
  | 'unevenness'
  | 'curve'
  | 'foreign'
  | 'spectral'
  | 'undetermined'

/** What the remaining colour difference is made of, as shares of the mean ΔE00 after the match; they add up to 1. */
export interface ResidualBudget extends Readonly<Record<BudgetPart, number>> {
  /** The largest part that something can be done about, from 8 % of the mean on (noise from 25 %); else the largest. */
  readonly limit: BudgetPart
  /** Causes that explain the residuals about as well as `limit`: they are not told apart. */
  readonly or?: readonly BudgetPart[]
}

/** The light across the chart relative to the target, as a smooth field. */
export interface Evenness {
  /** Largest minus smallest over the patches, in stops. */
  readonly stops: number
  /** Standard error of that, in stops. */
  readonly standardError: number
  /** Stops relative to the chart's mean, in the chart's patch order. */
  readonly field: readonly number[]
  /** Was it divided out of the readings before the match? */
  readonly divided: boolean
}

/** What the fit says of itself. */
export interface Diagnosis {
  /** Patches that took part. */
  readonly patchesUsed: number
  /** Free parameters of the model. */
  readonly parameters: number
  /** Numerical rank of the (column-scaled) design matrix, and its number of columns. */
  readonly rank: number
  readonly columns: number
  /** Condition number of that matrix: ratio of the largest to the smallest singular value. */
  readonly condition: number
  readonly objective: 'linear' | 'perceptual'
  readonly iterations: number
  readonly converged: boolean
  /** Why the iteration stopped. */
  readonly stopped: string
  /** Root mean square of the noise in each output channel over that in the (white-balanced) input; and for luminance. */
  readonly noiseAmplification: { readonly channels: Vec3; readonly luminance: number }
  /** 95 % intervals, for the linear kinds where the patches carry them. */
  readonly intervals?: Intervals
  readonly budget?: ResidualBudget
  readonly evenness?: Evenness
  /** ΔE00 to be expected on materials that are not on the chart: the figure to believe. */
  readonly expected?: ExpectedDifference
  /** For `auto`: the mean leave-one-out ΔE00 of every kind that the patches carry. */
  readonly candidates?: readonly {
    readonly kind: ModelKind
    readonly leaveOneOut: number
    readonly standardError: number
  }[]
}

/** A term of a correction with its 95 % interval. */
export interface CurveTerm extends Interval {
  readonly value: number
}

/**
 * The curve that was fitted together with a match: light x of the base curve becomes x · exp(Σ cₖ·uᵏ), k = 1 … 4, u half
 * the logarithm of (x + m/20) / (m + m/20), m the light `middle`; c the common terms and those of the channel added.
 */
export interface CurveCorrection {
  /** The base curve: the declared one, or one measured on the grey scale. */
  readonly kind: 'corrected' | 'measured'
  /** The recording's encoding as it was found to be: what `source` was decoded with. */
  readonly encoding: Encoding['spec']
  readonly middle: number
  readonly common: readonly CurveTerm[]
  readonly channels: Three<readonly CurveTerm[]>
}

/**
 * Why the declared encoding is in doubt: what a correction of its curve would leave, and other encodings that explain
 * the patches better.
 */
export interface EncodingDoubt {
  /** How much better a corrected curve explains the patches, as a multiple of the most that right curves ever gave. */
  readonly statistic: number
  /** Mean ΔE00 as declared: of a lift-gain-matrix match, and of patches that the match has not seen. */
  readonly declared: { readonly mean: number; readonly leaveOneOut: number }
  /** What the recording might be instead, with the mean ΔE00 that a lift-gain-matrix match would leave; best first. */
  readonly alternatives: readonly {
    readonly encoding: Pick<Encoding['spec'], 'transfer' | 'range'>
    readonly mean: number
  }[]
  /** Ways to fit, with the mean ΔE00 of patches that they have not seen: each better than those before it. */
  readonly remedies: readonly {
    readonly curve: 'corrected' | 'measured'
    readonly model: ModelKind
    readonly leaveOneOut: number
  }[]
}

/** One camera in one setup, matched. */
export interface CameraMatch {
  readonly model: MatchModel
  /** What was asked for; differs from `model.kind` for `auto` only. */
  readonly requested: ModelKind | 'auto'
  /** Camera primaries → working primaries as declared: what `source` was converted with. */
  readonly declared: Mat3
  /** On which light the colour differences are computed. */
  readonly view: 'scene' | 'display'
  readonly patches: readonly PatchResult[]
  readonly summary: Summaries
  readonly diagnosis: Diagnosis
  /** Where the curve was not taken as declared. */
  readonly curve?: CurveCorrection
  /** Where the declared encoding does not explain the patches. */
  readonly encodingDoubt?: EncodingDoubt
  /** The match in the words of the set, as numbers. */
  readonly onSet: OnSet
  readonly warnings: readonly Warning[]
}
