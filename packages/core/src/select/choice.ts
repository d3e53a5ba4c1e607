import type { Covariance } from '../diagnose/covariance.ts'
import type { Warning } from '../errors.ts'
import type { Fit } from '../fit/fitKind.ts'
import type { Diagnosis } from '../match/result.ts'
import type { ChartEvidence } from '../prior/virtualPatches.ts'
import type { Samples } from '../samples/samples.ts'

/** The kind that a camera is matched with, and its fit. */
export interface Choice {
  readonly fit: Fit
  /** The samples with the outliers' weights taken down. */
  readonly samples: Samples
  /** Of the fit: what it was judged by, and what its intervals are of. */
  readonly covariance: () => Covariance | undefined
  readonly leaveOneOut?: readonly (number | undefined)[]
  /** What the chart tells of other materials, where it was asked. */
  readonly evidence?: () => ChartEvidence | undefined
  /** Was the fit made to other materials too? */
  readonly informed?: boolean
  readonly candidates?: NonNullable<Diagnosis['candidates']>
  readonly warnings: readonly Warning[]
}
