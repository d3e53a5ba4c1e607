import { given, type IsochipError } from '@isochip/core'
import type { Fault } from '@isochip/report'

/** An error as documents for programs have it. */
export const faultOf = ({ code, message, hint, place }: IsochipError): Fault => ({
  code,
  message,
  ...given({ hint }),
  place,
})
