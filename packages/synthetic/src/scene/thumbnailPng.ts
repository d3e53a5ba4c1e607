import { crc32, deflateSync } from 'node:zlib'
import type { RenderedFrame } from '../camera/develop.ts'

function chunk(type: string, body: Buffer): Buffer {
  const named = Buffer.concat([Buffer.from(type, 'latin1'), body])
  const out = Buffer.alloc(named.length + 8)
  out.writeUInt32BE(body.length, 0)
  named.copy(out, 4)
  out.writeUInt32BE(crc32(named), named.length + 4)
  return out
}

/** A frame made smaller by a whole factor, as an 8-bit RGB PNG (ISO/IEC 15948). Every pixel is the mean of its block. */
export function thumbnailPng(frame: RenderedFrame, factor: number): Buffer {
  const width = Math.floor(frame.width / factor)
  const height = Math.floor(frame.height / factor)
  const rows = Buffer.alloc(height * (1 + width * 3))
  const scale = 255 / (frame.codeScale * factor * factor)
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width * 3; x++) {
      const channel = x % 3
      let sum = 0
      for (let j = 0; j < factor; j++) {
        const start = ((y * factor + j) * frame.width + ((x - channel) / 3) * factor) * 3 + channel
        for (let i = 0; i < factor; i++) sum += frame.data[start + i * 3]!
      }
      rows[y * (1 + width * 3) + 1 + x] = Math.round(sum * scale)
    }
  }
  const header = Buffer.alloc(13)
  header.writeUInt32BE(width, 0)
  header.writeUInt32BE(height, 4)
  header.set([8, 2, 0, 0, 0], 8)
  return Buffer.concat([
    Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]),
    chunk('IHDR', header),
    chunk('IDAT', deflateSync(rows)),
    chunk('IEND', Buffer.alloc(0)),
  ])
}
