import { type Encoding, primariesConversion, resolveEncoding, resolveTransfer } from '@isochip/core'
import type { ScopePixels } from './trace.ts'

const lowest = -32768

/**
 * Pixels of one encoding as another would carry the same light: what makes the traces of two cameras comparable. The same
 * pixels where both are the same.
 */
export function recoded(pixels: ScopePixels, from: Encoding['spec'], to: Encoding['spec']): ScopePixels {
  const same = (one: unknown, other: unknown) => JSON.stringify(one) === JSON.stringify(other)
  if (same(from.transfer, to.transfer) && same(from.primaries, to.primaries)) return pixels
  const { data, unit } = pixels
  const decode = resolveTransfer(from.transfer)
  const encode = resolveTransfer(to.transfer)
  const [[a, b, c], [d, e, f], [g, h, i]] = primariesConversion(
    resolveEncoding({ transfer: from.transfer, primaries: from.primaries }).primaries,
    resolveEncoding({ transfer: to.transfer, primaries: to.primaries }).primaries,
  )
  // Levels are whole numbers of 16 bits: each is decoded once.
  const light = ([0, 1, 2] as const).map((channel) => {
    const table = new Float32Array(65536).fill(Number.NaN)
    return (value: number) => {
      const at = value - lowest
      const known = table[at]!
      if (!Number.isNaN(known)) return known
      const found = decode.decode(value / unit, channel)
      table[at] = found
      return found
    }
  })
  const [red, green, blue] = light as [(v: number) => number, (v: number) => number, (v: number) => number]
  const out = new Int16Array(data.length)
  const held = (level: number) => Math.min(Math.max(Math.round(unit * level), lowest), 32767)
  for (let at = 0; at < data.length; at += 3) {
    const [r, s, t] = [red(data[at]!), green(data[at + 1]!), blue(data[at + 2]!)]
    out[at] = held(encode.encode(a * r + b * s + c * t, 0))
    out[at + 1] = held(encode.encode(d * r + e * s + f * t, 1))
    out[at + 2] = held(encode.encode(g * r + h * s + i * t, 2))
  }
  return { ...pixels, data: out }
}
