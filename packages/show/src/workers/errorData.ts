import { type ErrorCode, given, IsochipError, isIsochipError, type Place } from '@isochip/core'

/** Any error as it crosses from thread to thread, or is kept: a class of one's own, and a code, would be lost. */
export interface ErrorData {
  readonly name: string
  readonly message: string
  readonly stack?: string
  /** Of an IsochipError, or of the system. */
  readonly code?: string
  readonly hint?: string
  /** Of an IsochipError only: by it one is known. */
  readonly place?: Place
  readonly cause?: ErrorData
  /** Of several in one. */
  readonly errors?: readonly ErrorData[]
}

/** Errors that are each other's cause have an end all the same. */
const deepest = 8

export function errorData(error: unknown, depth = 0): ErrorData {
  if (!(error instanceof Error)) return { name: 'Error', message: String(error) }
  const { name, message, stack, cause } = error
  const { code } = error as NodeJS.ErrnoException
  const inner = depth < deepest
  return {
    name,
    message,
    ...given({ stack }),
    ...(typeof code === 'string' ? { code } : {}),
    ...(isIsochipError(error) ? { place: error.place, ...given({ hint: error.hint }) } : {}),
    ...(cause === undefined || !inner ? {} : { cause: errorData(cause, depth + 1) }),
    ...(error instanceof AggregateError && inner
      ? { errors: error.errors.map((one) => errorData(one, depth + 1)) }
      : {}),
  }
}

export const failureOf = (data: ErrorData): IsochipError => {
  const error = errorOf(data)
  if (isIsochipError(error)) return error
  throw error
}

export function errorOf(data: ErrorData): Error {
  const { name, message, stack, code, hint, place } = data
  const more = data.cause === undefined ? {} : { cause: errorOf(data.cause) }
  if (place !== undefined) return new IsochipError(code as ErrorCode, message, { hint, place, ...more })
  const error =
    data.errors === undefined
      ? new Error(message, more)
      : new AggregateError(data.errors.map(errorOf), message, more)
  error.name = name
  if (stack !== undefined) error.stack = stack
  return code === undefined ? error : Object.assign(error, { code })
}
