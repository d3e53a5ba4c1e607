import { IsochipError } from '@isochip/core'
import { expect } from 'vitest'

/** The fault that the call must end with. */
export function faultOf(call: () => unknown): IsochipError {
  let fault: unknown
  try {
    call()
  } catch (error) {
    fault = error
  }
  expect(fault, 'expected a fault').toBeInstanceOf(IsochipError)
  return fault as IsochipError
}
