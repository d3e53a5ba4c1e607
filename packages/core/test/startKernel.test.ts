import { expect, it } from 'vitest'
import { startKernel } from '../src/startKernel.ts'

/** By the binary format of WebAssembly Core Specification 2.0, chapter 5: imports env.memory, exports one empty function "go". */
const module_ = [
  ...[0x00, 0x61, 0x73, 0x6d, 0x01, 0x00, 0x00, 0x00], // magic, version 1
  ...[0x01, 0x04, 0x01, 0x60, 0x00, 0x00], // a type: () → ()
  ...[0x02, 0x0f, 0x01, 0x03, ...Buffer.from('env'), 0x06, ...Buffer.from('memory'), 0x02, 0x00, 0x01], // a memory of one page
  ...[0x03, 0x02, 0x01, 0x00], // a function of that type
  ...[0x07, 0x06, 0x01, 0x02, ...Buffer.from('go'), 0x00, 0x00], // exported
  ...[0x0a, 0x04, 0x01, 0x02, 0x00, 0x0b], // its body
]
const base64 = (bytes: readonly number[]) => Buffer.from(bytes).toString('base64')

it('starts with a memory of whole pages that holds what was asked for', () => {
  const kernel = startKernel(base64(module_), 65537)
  expect(kernel?.memory.buffer.byteLength).toBe(131072)
  expect(Object.keys(kernel?.run ?? {})).toEqual(['go'])
})

it.each([
  ['no WebAssembly', base64([1, 2, 3, 4])],
  ['a module cut short', base64(module_.slice(0, -3))],
  ['no base64', '&'],
  ['an instruction that the engine does not know', base64([...module_.slice(0, -4), 0x02, 0x00, 0xff, 0x0b])],
])('gives nothing for %s, so that JavaScript does the work', (_, text) =>
  expect(startKernel(text, 65536)).toBeUndefined(),
)
