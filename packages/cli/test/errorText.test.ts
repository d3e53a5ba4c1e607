import { IsochipError, type Warning } from '@isochip/core'
import { describe, expect, test } from 'vitest'
import { bugText, errorJson, errorText, warningText } from '../src/text/errorText.ts'

const error = new IsochipError('show-invalid', 'unknown key "encodng"', {
  hint: 'did you mean encoding?',
  place: { file: 'show.yaml', line: 8, column: 5, camera: 'cross' },
})

describe('errors', () => {
  test('what, where, and what to do about it', () => {
    expect(errorText(error, { errColour: false })).toBe(
      'error: show.yaml:8:5, camera cross: unknown key "encodng"\n  hint: did you mean encoding?\n',
    )
    expect(errorText(new IsochipError('usage', 'no'), { errColour: false })).toBe('error: no\n')
  })
  test('only the first word is coloured', () => {
    expect(errorText(error, { errColour: true })).toContain('\u001b[31merror:\u001b[39m show.yaml:8:5')
  })
  test('as JSON', () => {
    expect(JSON.parse(errorJson(error))).toEqual({
      isochip: 'error/1',
      error: {
        code: 'show-invalid',
        message: 'unknown key "encodng"',
        hint: 'did you mean encoding?',
        place: { file: 'show.yaml', line: 8, column: 5, camera: 'cross' },
      },
    })
    expect(JSON.parse(errorJson(new Error('oops'))).error.code).toBe('internal')
  })
  test('a fault of our own asks to be reported', () => {
    const text = bugText(new TypeError('x is not a function'), { errColour: false })
    expect(text).toContain('internal error of isochip')
    expect(text).toContain('TypeError: x is not a function')
  })
  test('a message that begins with its place does not say it twice', () => {
    const error = new IsochipError('lut-syntax', 'x.cube:1: keyword "a" is not known', {
      place: { file: 'x.cube', line: 1 },
    })
    expect(errorText(error, { errColour: false })).toBe('error: x.cube:1: keyword "a" is not known\n')
  })
  test('a caution', () => {
    const warning: Warning = { code: 'chart-old', message: 'the chart is old', place: { camera: 'wide' } }
    expect(warningText(warning, { errColour: false })).toBe('caution: camera wide: the chart is old\n')
  })
})
