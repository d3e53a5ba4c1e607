import fc from 'fast-check'
import stringWidth from 'string-width'
import { expect, it } from 'vitest'
import { columns } from '../../src/text/columns.ts'

/* Source: string-width, which counts by the tables of Unicode. */

it('counts every character of the Basic Multilingual Plane as string-width does', () => {
  const off: string[] = []
  for (let code = 0; code < 0xd800; code++) {
    const one = String.fromCharCode(code)
    // Format characters never come here (`printable`); at some of them string-width throws.
    if (/\p{Cf}/u.test(one)) continue
    if (columns(one) !== stringWidth(one)) off.push(code.toString(16))
  }
  expect(off).toEqual([])
})

it('counts texts as string-width does', () => {
  const ours = fc.constantFrom(
    ...'ΔE00 −4.9 · 10⁻³ Duv é × …'.split(''),
    'e\u0301',
    'テ',
    '👩‍🎬',
    '\u200b',
    '↔\ufe0f',
  )
  fc.assert(
    fc.property(fc.string({ unit: ours }), (text) => columns(text) === stringWidth(text)),
    { seed: 1, numRuns: 300 },
  )
})
