import { IsochipError, placeText } from '@isochip/core'
import { describe, expect, it } from 'vitest'

describe('IsochipError', () => {
  it('is an Error with a code, a hint, a place and a cause', () => {
    const cause = new Error('no such file')
    const error = new IsochipError('frame-unreadable', 'cannot read it', {
      hint: 'look',
      place: { line: 3 },
      cause,
    })
    expect(error).toBeInstanceOf(Error)
    expect([error.name, error.code, error.message, error.hint]).toEqual([
      'IsochipError',
      'frame-unreadable',
      'cannot read it',
      'look',
    ])
    expect(error.place).toEqual({ line: 3 })
    expect(error.cause).toBe(cause)
    expect(String(error)).toBe('IsochipError: cannot read it')
  })

  it('has no cause, hint or place where there is none', () => {
    const error = new IsochipError('usage', 'what?')
    expect('cause' in error).toBe(false)
    expect(error.hint).toBeUndefined()
    expect(error.place).toEqual({})
  })
})

describe('placeText', () => {
  it.each([
    [{}, ''],
    [{ file: 'show.yaml' }, 'show.yaml'],
    [{ file: 'show.yaml', line: 12, column: 7 }, 'show.yaml:12:7'],
    [{ camera: 'wide', setup: 'day' }, 'camera wide, setup day'],
    [{ file: 'day.csv', line: 2, patch: 'red' }, 'day.csv:2, patch "red"'],
  ])('%j is "%s"', (place, text) => expect(placeText(place)).toBe(text))
})
