import { IsochipError } from '@isochip/core'

/** All errors in one, the first one's code and place leading. */
export function joinedFailures(failures: readonly IsochipError[]): IsochipError {
  const [first, ...others] = failures
  if (others.length === 0) return first!
  return new IsochipError(first!.code, `${first!.message} (and ${others.length} more)`, {
    ...(first!.hint === undefined ? {} : { hint: first!.hint }),
    place: first!.place,
    cause: new AggregateError(failures),
  })
}
