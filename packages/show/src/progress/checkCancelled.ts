import { IsochipError } from '@isochip/core'

/** @throws IsochipError `cancelled` */
export function checkCancelled(signal: AbortSignal | undefined): void {
  if (signal?.aborted)
    throw new IsochipError('cancelled', 'cancelled; no file was changed', { cause: signal.reason })
}
