import { expect, it } from 'vitest'
import { base64Bytes } from '../src/base64Bytes.ts'

const text = (bytes: Uint8Array) => String.fromCharCode(...bytes)

// RFC 4648, section 10.
it.each([
  ['', ''],
  ['Zg==', 'f'],
  ['Zm8=', 'fo'],
  ['Zm9v', 'foo'],
  ['Zm9vYg==', 'foob'],
  ['Zm9vYmE=', 'fooba'],
  ['Zm9vYmFy', 'foobar'],
])('%s', (encoded, decoded) => {
  expect(text(base64Bytes(encoded))).toBe(decoded)
})

it('every byte comes back', () => {
  const all = String.fromCharCode(...Array.from({ length: 256 }, (_, i) => i))
  expect(text(base64Bytes(btoa(all)))).toBe(all)
})
