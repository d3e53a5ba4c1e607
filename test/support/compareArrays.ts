import { expect } from 'vitest'

const bytesOf = (view: ArrayBufferView) => Buffer.from(view.buffer, view.byteOffset, view.byteLength)
const known = globalThis as { isochipComparesArrays?: true }

/**
 * Typed arrays of the same bytes are equal. `toEqual` would look at one element after the other, which takes five seconds
 * of processor time a megabyte; where bytes differ it still does, for the sake of NaN, zeros of either sign and its words.
 */
if (known.isochipComparesArrays === undefined) {
  // Files share a thread, and this is run for each of them.
  known.isochipComparesArrays = true
  expect.addEqualityTesters([
    (a: unknown, b: unknown) =>
      ArrayBuffer.isView(a) &&
      ArrayBuffer.isView(b) &&
      a.constructor === b.constructor &&
      bytesOf(a).equals(bytesOf(b))
        ? true
        : undefined,
  ])
}
