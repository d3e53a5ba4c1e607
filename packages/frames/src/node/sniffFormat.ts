export type StillFormat = 'png' | 'jpeg' | 'tiff' | 'webp' | 'dpx' | 'exr'

const starts = (bytes: Uint8Array, text: string, at = 0) =>
  [...text].every((char, i) => bytes[at + i] === char.charCodeAt(0))

/** The format that a file's first bytes declare; its name is not asked. `undefined` where it is none of ours. */
export function sniffFormat(bytes: Uint8Array): StillFormat | undefined {
  if (starts(bytes, '\x89PNG\r\n\x1a\n')) return 'png'
  if (starts(bytes, '\xff\xd8\xff')) return 'jpeg'
  if (['II*\0', 'MM\0*', 'II+\0', 'MM\0+'].some((magic) => starts(bytes, magic))) return 'tiff'
  if (starts(bytes, 'RIFF') && starts(bytes, 'WEBP', 8)) return 'webp'
  if (starts(bytes, 'SDPX') || starts(bytes, 'XPDS')) return 'dpx'
  if (starts(bytes, '\x76\x2f\x31\x01')) return 'exr'
  return undefined
}
