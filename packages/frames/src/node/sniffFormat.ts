import { open } from 'node:fs/promises'

export type SniffedFormat = 'png' | 'jpeg' | 'tiff' | 'webp' | 'dpx' | 'exr' | 'movie'

const starts = (bytes: Uint8Array, text: string, at = 0) =>
  [...text].every((char, i) => bytes[at + i] === char.charCodeAt(0))

/** The format that a file's first bytes declare; its name is not asked. `undefined` where it is none of ours. */
export function sniffFormat(bytes: Uint8Array): SniffedFormat | undefined {
  if (starts(bytes, '\x89PNG\r\n\x1a\n')) return 'png'
  if (starts(bytes, '\xff\xd8\xff')) return 'jpeg'
  if (['II*\0', 'MM\0*', 'II+\0', 'MM\0+'].some((magic) => starts(bytes, magic))) return 'tiff'
  if (starts(bytes, 'RIFF') && starts(bytes, 'WEBP', 8)) return 'webp'
  if (starts(bytes, 'SDPX') || starts(bytes, 'XPDS')) return 'dpx'
  if (starts(bytes, '\x76\x2f\x31\x01')) return 'exr'
  // QuickTime and MP4, Matroska, MXF, AVI.
  if (['ftyp', 'moov', 'mdat', 'wide', 'free'].some((atom) => starts(bytes, atom, 4))) return 'movie'
  if (starts(bytes, '\x1a\x45\xdf\xa3') || starts(bytes, '\x06\x0e\x2b\x34')) return 'movie'
  if (starts(bytes, 'RIFF') && starts(bytes, 'AVI ', 8)) return 'movie'
  if (isTransportStream(bytes)) return 'movie'
  return undefined
}

/**
 * An MPEG-2 transport stream (ITU-T H.222.0, 2.4.3.2): packets of 188 bytes that begin with 0x47; those of AVCHD cameras
 * have a time of four bytes before each.
 */
export const isTransportStream = (bytes: Uint8Array) =>
  [
    { first: 0, length: 188 },
    { first: 4, length: 192 },
  ].some(({ first, length }) => [0, 1, 2].every((packet) => bytes[first + packet * length] === 0x47))

/** Three packets of a transport stream. */
const headBytes = 3 * 192

/** The first bytes of a file. */
export async function readHead(path: string): Promise<Uint8Array> {
  const handle = await open(path)
  try {
    const bytes = new Uint8Array(headBytes)
    const { bytesRead } = await handle.read(bytes, 0, headBytes, 0)
    return bytes.subarray(0, bytesRead)
  } finally {
    await handle.close()
  }
}
