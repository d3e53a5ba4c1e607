import { IsochipError } from '@isochip/core'

/** What came out of `matchShow` or `verifyShow`, as far as it is judged. */
export interface Judged {
  readonly within: boolean
  /** Of `matchShow`. */
  readonly doubtful?: number
  readonly failures?: readonly IsochipError[]
}

/**
 * For scripts that deliver only what is good: does nothing where every camera is there and within tolerance.
 *
 * @param strict default false: does a match in doubt count as one that is out of tolerance?
 * @throws IsochipError `out-of-tolerance`; the first of the failures, where cameras could not be looked at
 */
export function assertWithinTolerance({ within, doubtful = 0, failures = [] }: Judged, strict = false): void {
  if (failures.length > 0) throw failures[0]!
  if (within && !(strict && doubtful > 0)) return
  throw new IsochipError(
    'out-of-tolerance',
    within
      ? `${doubtful} of the matches ${doubtful === 1 ? 'is' : 'are'} within tolerance by the figures, but doubtful`
      : 'not every camera is within the tolerance of the show',
    {
      hint: 'look at the report: which camera, and why; the tolerance stands in the show file',
    },
  )
}
