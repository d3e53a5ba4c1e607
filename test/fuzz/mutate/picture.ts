import { deflateSync } from 'node:zlib'
import { pngChunk } from '../../support/pngBytes.ts'
import { byteWays } from './bytes.ts'
import type { Draw } from './draw.ts'

const sides = [0, 1, 2, 7, 255, 65535, 100_000, 0x7fffffff, 0xffffffff]

/** Changes a picture or a movie where its format has something to say; any other bytes at a place of their head. */
export function changePicture(bytes: Uint8Array, draw: Draw): Uint8Array {
  const buffer = Buffer.from(bytes)
  if (buffer.length > 33 && buffer.toString('latin1', 1, 4) === 'PNG') return changePng(buffer, draw)
  if (buffer.length > 16 && /^(II\*\0|MM\0\*)/.test(buffer.toString('latin1', 0, 4)))
    return changeTiff(buffer, draw)
  if (buffer.length > 16 && buffer.readUInt16BE(0) === 0xffd8) return changeJpeg(buffer, draw)
  return draw.of([byteWays.integer!, byteWays.flipInHead!, byteWays.cut!])(buffer, draw, [buffer])
}

interface Chunk {
  type: string
  data: Buffer
}

/** PNG (ISO/IEC 15948): chunks of length, type, data, checksum. */
function changePng(bytes: Buffer, draw: Draw): Buffer {
  const chunks: Chunk[] = []
  for (let at = 8; at + 12 <= bytes.length; ) {
    const length = bytes.readUInt32BE(at)
    chunks.push({
      type: bytes.toString('latin1', at + 4, at + 8),
      data: Buffer.from(bytes.subarray(at + 8, at + 8 + length)),
    })
    at += 12 + length
  }
  const head = chunks[0]!.data
  const way = draw.below(7)
  if (way === 0) head.writeUInt32BE(draw.of(sides), draw.of([0, 4]))
  else if (way === 1) head[8 + draw.below(5)] = draw.of([0, 1, 2, 3, 4, 8, 16, 32, 255])
  else if (way === 2) {
    const [one, other] = [draw.below(chunks.length), draw.below(chunks.length)]
    ;[chunks[one], chunks[other]] = [chunks[other]!, chunks[one]!]
  } else if (way === 3) chunks.splice(draw.below(chunks.length), 1)
  else if (way === 4) {
    // A picture of a few kilobytes that says it is, and is, a large one.
    const side = draw.of([4000, 12_000])
    head.writeUInt32BE(side, 0)
    head.writeUInt32BE(side, 4)
    head.set([8, 0, 0, 0, 0], 8)
    const rows = deflateSync(Buffer.alloc((side + 1) * draw.of([100, 2000])), { level: 1 })
    chunks.splice(1, chunks.length - 2, { type: 'IDAT', data: rows })
  } else if (way === 5) {
    // Text that swells as it is taken apart; a profile that does.
    const swollen = deflateSync(Buffer.alloc(draw.of([1e6, 1e8])), { level: 1 })
    const type = draw.of(['zTXt', 'iCCP', 'iTXt', 'cICP', 'gAMA', 'sRGB', 'eXIf', 'tRNS', 'PLTE'])
    const before = type === 'iTXt' ? 'a\0\u0001\0\0\0' : 'a\0\0'
    const data = Buffer.concat([
      Buffer.from(before, 'latin1'),
      type[0] === type[0]!.toUpperCase() ? Buffer.alloc(draw.below(8)) : swollen,
    ])
    chunks.splice(1, 0, { type, data })
  } else {
    const { data } = draw.of(chunks)
    if (data.length > 0) data[draw.below(data.length)] = draw.below(256)
  }
  return Buffer.concat([bytes.subarray(0, 8), ...chunks.map(({ type, data }) => pngChunk(type, data))])
}

/** TIFF 6.0: a directory of entries of tag, type, count, value. */
function changeTiff(bytes: Buffer, draw: Draw): Buffer {
  const little = bytes[0] === 0x49
  const out = Buffer.from(bytes)
  const put = (value: number, at: number, size: 2 | 4) => {
    if (at + size > out.length) return
    if (little) out.writeUIntLE(value % 256 ** size, at, size)
    else out.writeUIntBE(value % 256 ** size, at, size)
  }
  const start = little ? out.readUInt32LE(4) : out.readUInt32BE(4)
  if (draw.chance(0.1) || start + 2 > out.length) {
    put(draw.of([0, 1, 8, out.length, 0xffffffff]), 4, 4)
    return out
  }
  const count = little ? out.readUInt16LE(start) : out.readUInt16BE(start)
  const entry = start + 2 + 12 * draw.below(Math.max(1, count))
  const part = draw.below(4)
  if (part === 0)
    put(draw.of([0, 254, 256, 257, 258, 259, 262, 273, 277, 278, 279, 317, 330, 34665]), entry, 2)
  else if (part === 1) put(draw.below(20), entry + 2, 2)
  else if (part === 2) put(draw.of(sides), entry + 4, 4)
  else put(draw.of([...sides, 5, 6, 32773, 34712, start, out.length]), entry + 8, 4)
  return out
}

/** JPEG (ITU-T T.81): segments of marker, length, data. */
function changeJpeg(bytes: Buffer, draw: Draw): Buffer {
  const out = Buffer.from(bytes)
  const at: number[] = []
  for (
    let next = 2;
    next + 4 <= out.length && out[next] === 0xff && out[next + 1] !== 0xda;
    next += 2 + out.readUInt16BE(next + 2)
  )
    at.push(next)
  if (at.length === 0) return out
  const segment = draw.of(at)
  const way = draw.below(3)
  if (way === 0)
    out[segment + 1] = draw.of([0xc0, 0xc1, 0xc2, 0xc3, 0xc4, 0xc9, 0xd8, 0xd9, 0xda, 0xdb, 0xe1, 0xee])
  else if (way === 1) out.writeUInt16BE(draw.of([0, 1, 2, 3, 8, 0x7fff, 0xffff]), segment + 2)
  else
    out[Math.min(out.length - 1, segment + 4 + draw.below(16))] = draw.of([
      0, 1, 2, 3, 4, 8, 12, 16, 0x11, 0x44, 0xff,
    ])
  return out
}
