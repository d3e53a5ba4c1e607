import { expect, test, vi } from 'vitest'
import { IsochipError, isIsochipError, placeText } from '../src/errors.ts'

test('an error of another copy of the library is known for one; nothing else is', async () => {
  vi.resetModules()
  const other = await import('../src/errors.ts')
  const foreign = new other.IsochipError('clipped', 'too bright', { place: { patch: 'white' } })
  expect(foreign).not.toBeInstanceOf(IsochipError)
  expect(isIsochipError(foreign)).toBe(true)
  expect(other.isIsochipError(new IsochipError('clipped', 'too bright'))).toBe(true)
  for (const not of [
    new Error('clipped'),
    { code: 'clipped', message: 'too bright' },
    'clipped',
    undefined,
    null,
  ])
    expect(isIsochipError(not)).toBe(false)
})

test('the mark does not show where an error is printed or turned into JSON', () => {
  expect(Object.keys(new IsochipError('clipped', 'too bright'))).toEqual(['name', 'code', 'hint', 'place'])
})

test('no line of a message is longer than can be read, and there are few of them; the end is there too', () => {
  const { message, hint } = new IsochipError('usage', `"${'x'.repeat(1_000_000)}" is no number`, {
    hint: 'y\n'.repeat(1000),
  })
  expect(message.length).toBeLessThanOrEqual(400)
  expect(message).toMatch(/^"x+… \(\d+ more characters\) …x+" is no number$/)
  expect(hint!.split('\n')).toHaveLength(22)
  // As one that crossed from thread to thread twice.
  expect(new IsochipError('usage', message).message).toBe(message)
})

test('what a terminal obeys is shown, not sent: escape sequences (ECMA-48), marks of direction (UAX #9)', () => {
  const { message, hint } = new IsochipError('usage', 'a\u001b[2Jb \u202egnp.ebuc\tc', { hint: 'd\re' })
  expect(message).toBe('a\\u001b[2Jb \\u202egnp.ebuc\\u0009c')
  expect(hint).toBe('d\\u000de')
  expect(placeText({ file: 'a\u0007.csv', line: 3, patch: 'b\u2066' })).toBe(
    'a\\u0007.csv:3, patch "b\\u2066"',
  )
})
