import { crc32 } from 'node:zlib'

/** A chunk of a PNG file (ISO/IEC 15948, 5.3), its checksum right. */
export function pngChunk(type: string, body: ArrayLike<number> = []): Buffer {
  const named = Buffer.concat([Buffer.from(type, 'latin1'), Uint8Array.from(body)])
  const out = Buffer.alloc(named.length + 8)
  out.writeUInt32BE(body.length, 0)
  named.copy(out, 4)
  out.writeUInt32BE(crc32(named), named.length + 4)
  return out
}

/** A PNG file of R, G and B with these chunks between its first and its last. Its size may be any that can be written. */
export function pngBytes(width: number, height: number, depth: 8 | 16, chunks: readonly Buffer[]): Buffer {
  const head = Buffer.alloc(13)
  head.writeUInt32BE(width, 0)
  head.writeUInt32BE(height, 4)
  head.set([depth, 2, 0, 0, 0], 8)
  const signature = Buffer.from('\x89PNG\r\n\x1a\n', 'latin1')
  return Buffer.concat([signature, pngChunk('IHDR', head), ...chunks, pngChunk('IEND')])
}
