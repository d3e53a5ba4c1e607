/**
 * Numbers 0 < u < 1 from a seed, the same on every machine: the generator of G. Steele, D. Lea, C. Flood (SplitMix,
 * OOPSLA 2014) in its 32-bit form.
 */
export function seededRandom(seed: number): () => number {
  let state = seed | 0
  return () => {
    state = (state + 0x9e3779b9) | 0
    let z = state
    z = Math.imul(z ^ (z >>> 16), 0x85ebca6b)
    z = Math.imul(z ^ (z >>> 13), 0xc2b2ae35)
    return ((z ^ (z >>> 16)) >>> 0) / 4294967296 + 2 ** -33
  }
}
