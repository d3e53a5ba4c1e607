import { IsochipError } from '@isochip/core'

/** All errors in one, the first one's code and place leading. */
export function joinedFailures(failures: readonly IsochipError[]): IsochipError {
  const [first, ...others] = failures
  if (others.length === 0) return first!
  const { code, message, hint, place } = first!
  const cause = new AggregateError(failures)
  return new IsochipError(code, `${message} (and ${others.length} more)`, { hint, place, cause })
}
