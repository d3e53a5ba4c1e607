import { expect, test, vi } from 'vitest'
import { IsochipError, isIsochipError } from '../src/errors.ts'

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

test('no message is longer than a log can bear', () => {
  const { message, hint } = new IsochipError('usage', 'x'.repeat(1_000_000), { hint: 'y'.repeat(1_000_000) })
  expect(message).toHaveLength('x'.repeat(4000).length + '… (996000 more characters)'.length)
  expect(hint!.length).toBe(message.length)
})
