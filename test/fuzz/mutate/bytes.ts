import type { Draw } from './draw.ts'

const joined = (...parts: readonly Uint8Array[]): Uint8Array => Buffer.concat(parts)

const integers = [0, 1, 2, 0x7f, 0x80, 0xff, 0x7fff, 0xffff, 0x10000, 0x7fffffff, 0x80000000, 0xffffffff]

/** Ways to change bytes of which nothing is known. */
export const byteWays: Readonly<
  Record<string, (bytes: Uint8Array, draw: Draw, others: readonly Uint8Array[]) => Uint8Array>
> = {
  flip: (bytes, draw) => {
    const out = Uint8Array.from(bytes)
    for (let n = 1 + draw.below(8); n > 0 && out.length > 0; n--)
      out[draw.below(out.length)]! ^= 1 << draw.below(8)
    return out
  },
  flipInHead: (bytes, draw) => {
    const out = Uint8Array.from(bytes)
    const end = Math.min(out.length, 200)
    for (let n = 1 + draw.below(4); n > 0 && end > 0; n--) out[draw.below(end)] = draw.below(256)
    return out
  },
  integer: (bytes, draw) => {
    const out = Buffer.from(bytes)
    if (out.length < 4) return out
    const at = draw.below(Math.min(out.length - 3, draw.chance(0.7) ? 400 : out.length))
    const value = draw.of(integers)
    if (draw.chance(0.5)) out.writeUInt32BE(value, at)
    else out.writeUInt32LE(value, at)
    return out
  },
  cut: (bytes, draw) => bytes.subarray(0, draw.below(bytes.length + 1)),
  cutStart: (bytes, draw) => bytes.subarray(draw.below(Math.min(bytes.length, 64) + 1)),
  drop: (bytes, draw) => {
    const from = draw.below(bytes.length + 1)
    return joined(bytes.subarray(0, from), bytes.subarray(Math.min(bytes.length, from + 1 + draw.below(64))))
  },
  repeat: (bytes, draw) => {
    const from = draw.below(bytes.length + 1)
    const piece = bytes.subarray(from, from + 1 + draw.below(200))
    return joined(
      bytes.subarray(0, from),
      ...Array.from({ length: 1 + draw.below(50) }, () => piece),
      bytes.subarray(from),
    )
  },
  insert: (bytes, draw) => {
    const at = draw.below(bytes.length + 1)
    const piece = Uint8Array.from({ length: 1 + draw.below(16) }, () => draw.below(256))
    return joined(bytes.subarray(0, at), piece, bytes.subarray(at))
  },
  zeros: (bytes, draw) => {
    const out = Uint8Array.from(bytes)
    const at = draw.below(out.length + 1)
    return out.fill(draw.of([0, 0xff]), at, at + draw.below(512))
  },
  splice: (bytes, draw, others) => {
    const other = draw.of(others)
    return joined(
      bytes.subarray(0, draw.below(bytes.length + 1)),
      other.subarray(draw.below(other.length + 1)),
    )
  },
}
