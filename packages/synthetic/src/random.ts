/** A stream of random numbers that is the same on every machine. */
export interface Random {
  /** 0 ≤ x < 1. */
  next(): number
  /** low ≤ x < high. */
  between(low: number, high: number): number
  /** low ≤ n ≤ high, whole. */
  whole(low: number, high: number): number
  /** true with the given probability. */
  chance(probability: number): boolean
  pick<T>(from: readonly T[]): T
  /** 32 bits. */
  bits(): number
  /** 32 bits into each element: the same as so many calls of `bits`, without a number object for each. */
  fill(target: Int32Array): void
}

/** SplitMix-style start, then xorshift128 (G. Marsaglia, Xorshift RNGs, J. Stat. Softw. 8 (2003)): integers only. */
export function random(seed: number): Random {
  let mixed = seed | 0
  const start = () => {
    mixed = (mixed + 0x9e3779b9) | 0
    let z = mixed
    z = Math.imul(z ^ (z >>> 16), 0x21f0aaad)
    z = Math.imul(z ^ (z >>> 15), 0x735a2d97)
    return z ^ (z >>> 15)
  }
  let x = start()
  let y = start()
  let z = start()
  let w = start() | 1
  const bits = () => {
    const t = x ^ (x << 11)
    x = y
    y = z
    z = w
    w = w ^ (w >>> 19) ^ (t ^ (t >>> 8))
    return w >>> 0
  }
  const fill = (target: Int32Array) => {
    let [a, b, c, d] = [x, y, z, w]
    for (let i = 0; i < target.length; i++) {
      const t = a ^ (a << 11)
      a = b
      b = c
      c = d
      d = d ^ (d >>> 19) ^ (t ^ (t >>> 8))
      target[i] = d
    }
    x = a
    y = b
    z = c
    w = d
  }
  const next = () => bits() / 4294967296
  return {
    bits,
    fill,
    next,
    between: (low, high) => low + (high - low) * next(),
    whole: (low, high) => low + Math.floor(next() * (high - low + 1)),
    chance: (probability) => next() < probability,
    pick: (from) => from[Math.floor(next() * from.length)]!,
  }
}
