import { expect, test } from 'vitest'

// `test/support/compareArrays.ts` is there for every file of tests.
test('arrays of numbers are compared as toEqual compares, and fast', () => {
  expect(new Uint8Array(1e7)).toEqual(new Uint8Array(1e7))
  expect({ a: [Float64Array.of(1, Number.NaN)] }).toEqual({ a: [Float64Array.of(1, Number.NaN)] })
  expect(Float64Array.of(1, 2)).not.toEqual(Float64Array.of(1, 3))
  expect(Float64Array.of(0)).not.toEqual(Float64Array.of(-0))
  expect(Uint8Array.of(1, 2)).not.toEqual(Uint16Array.of(0x0201))
  expect(Float64Array.of(1)).not.toEqual(Float64Array.of(1, 1))
})
