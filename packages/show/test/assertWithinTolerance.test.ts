import { IsochipError } from '@isochip/core'
import { expect, test } from 'vitest'
import { assertWithinTolerance } from '../src/index.ts'

test('says nothing of what is within tolerance', () => {
  expect(assertWithinTolerance({ within: true, failures: [] })).toBeUndefined()
})

test('out of tolerance is an error with its code', () => {
  expect(() => assertWithinTolerance({ within: false })).toThrowError(
    expect.objectContaining({ name: 'IsochipError', code: 'out-of-tolerance' }),
  )
})

test('a camera that could not be looked at is not within tolerance', () => {
  const failure = new IsochipError('chart-not-found', 'no chart in the frame')
  expect(() => assertWithinTolerance({ within: true, failures: [failure] })).toThrowError(failure)
})
