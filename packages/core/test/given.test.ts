import fc from 'fast-check'
import { expect, it } from 'vitest'
import { given } from '../src/given.ts'

/** A member that is undefined, and one that is not there, are the same to JSON: so is what `given` leaves out. */
it('leaves out what JSON leaves out as undefined, and keeps the order of the rest', () => {
  const member = fc.option(fc.jsonValue(), { nil: undefined })
  fc.assert(
    fc.property(fc.dictionary(fc.string(), member), (members) => {
      const left = given(members)
      expect(Object.values(left)).not.toContain(undefined)
      expect(JSON.stringify(left)).toBe(JSON.stringify(members))
    }),
  )
})

it('keeps null, false, zero and the empty text', () => {
  expect(given({ a: null, b: false, c: 0, d: '', e: undefined })).toEqual({ a: null, b: false, c: 0, d: '' })
})
