import { type ErrorCode, IsochipError, type Place } from '@isochip/core'

/** An error as it crosses from thread to thread, where a class of one's own is lost. */
export interface ErrorData {
  readonly code: ErrorCode
  readonly message: string
  readonly hint?: string
  readonly place: Place
}

export const errorData = ({ code, message, hint, place }: IsochipError): ErrorData => ({
  code,
  message,
  ...(hint === undefined ? {} : { hint }),
  place,
})

export const errorOf = ({ code, message, hint, place }: ErrorData): IsochipError =>
  new IsochipError(code, message, { ...(hint === undefined ? {} : { hint }), place })
