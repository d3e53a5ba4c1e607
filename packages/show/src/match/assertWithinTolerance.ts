import { IsochipError } from '@isochip/core'

/** What came out of `matchShow` or `verifyShow`, as far as it is judged. */
export interface Judged {
  readonly within: boolean
  readonly failures?: readonly IsochipError[]
}

/**
 * For scripts that deliver only what is good: does nothing where every camera is there and within tolerance.
 *
 * @throws IsochipError `out-of-tolerance`; the first of the failures, where cameras could not be looked at
 */
export function assertWithinTolerance({ within, failures = [] }: Judged): void {
  if (failures.length > 0) throw failures[0]!
  if (within) return
  throw new IsochipError('out-of-tolerance', 'not every camera is within the tolerance of the show', {
    hint: 'look at the report: which camera, and why; the tolerance stands in the show file',
  })
}
