/**
 * Arrays of zeros of these lengths over one buffer. What lies outside the heap is dear to get and to give back: a small fit
 * would spend as long on a dozen buffers as on its steps.
 */
export function arraysOf<const Lengths extends readonly number[]>(
  lengths: Lengths,
): { [K in keyof Lengths]: Float64Array } {
  const buffer = new ArrayBuffer(8 * lengths.reduce((sum, length) => sum + length, 0))
  let at = 0
  const arrays = lengths.map((length) => {
    const array = new Float64Array(buffer, at, length)
    at += 8 * length
    return array
  })
  return arrays as { [K in keyof Lengths]: Float64Array }
}
