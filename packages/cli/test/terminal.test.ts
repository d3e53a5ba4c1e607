import { expect, test } from 'vitest'
import { processTerminal } from '../src/terminal.ts'

const of = (isTTY: boolean, env: Record<string, string>, columns?: number) => {
  const stream = { isTTY, columns, write: () => true } as unknown as NodeJS.WriteStream & { fd: 1 }
  return processTerminal({ stdout: stream, stderr: stream as unknown as NodeJS.WriteStream & { fd: 2 }, env })
}

// The informal standard at no-color.org: set, whatever its value, as long as that is not empty.
test.each([
  ['a terminal', true, {}, true, true],
  ['a pipe', false, {}, false, false],
  ['a pipe under CI', false, { CI: 'true' }, false, false],
  ['NO_COLOR', true, { NO_COLOR: '1' }, false, true],
  ['NO_COLOR=0', true, { NO_COLOR: '0' }, false, true],
  ['an empty NO_COLOR', true, { NO_COLOR: '' }, true, true],
  ['a dumb terminal', true, { TERM: 'dumb' }, false, false],
] as const)('%s', (_, isTTY, env, colour, live) => {
  expect(of(isTTY, env)).toMatchObject({ colour, errColour: colour, live, width: 80 })
})

test('keeps its width within what can be read', () => {
  expect(of(true, {}, 300).width).toBe(120)
  expect(of(true, {}, 20).width).toBe(60)
})
