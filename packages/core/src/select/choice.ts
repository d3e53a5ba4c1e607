import type { Covariance } from '../diagnose/covariance.ts'
import type { Warning } from '../errors.ts'
import type { Fit } from '../fit/fitKind.ts'
import type { Diagnosis } from '../match/result.ts'
import type { MatchProblem } from '../problem/matchProblem.ts'

/** The kind that a camera is matched with, and its fit. */
export interface Choice {
  readonly fit: Fit
  /** What it is the fit to: with the outliers' weights taken down. */
  readonly problem: MatchProblem
  /** Of the fit: what it was judged by, and what its intervals are of. */
  readonly covariance: () => Covariance | undefined
  readonly leaveOneOut?: readonly (number | undefined)[]
  /** The share of the match that was fitted to other materials too, 0 … 1; absent for none. */
  readonly informed?: number
  readonly candidates?: NonNullable<Diagnosis['candidates']>
  readonly warnings: readonly Warning[]
}
