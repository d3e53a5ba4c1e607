import { open } from 'node:fs/promises'
import { isRawTiff } from '../frame/isRawTiff.ts'

export type SniffedFormat =
  | 'png'
  | 'jpeg'
  | 'tiff'
  | 'webp'
  | 'dpx'
  | 'exr'
  | 'bmp'
  | 'tga'
  | 'pnm'
  | 'raw'
  | 'movie'

const starts = (bytes: Uint8Array, text: string, at = 0) =>
  [...text].every((char, i) => bytes[at + i] === char.charCodeAt(0))

/**
 * The format that a file's first bytes declare; its name is not asked. `undefined` where it is none of ours. Camera raw
 * that is built as a TIFF looks like one from its first bytes: `fileFormat` looks further.
 */
export function sniffFormat(bytes: Uint8Array): SniffedFormat | undefined {
  if (starts(bytes, '\x89PNG\r\n\x1a\n')) return 'png'
  if (starts(bytes, '\xff\xd8\xff')) return 'jpeg'
  if (isRawContainer(bytes)) return 'raw'
  if (['II*\0', 'MM\0*', 'II+\0', 'MM\0+'].some((magic) => starts(bytes, magic))) return 'tiff'
  if (starts(bytes, 'RIFF') && starts(bytes, 'WEBP', 8)) return 'webp'
  if (starts(bytes, 'SDPX') || starts(bytes, 'XPDS')) return 'dpx'
  if (starts(bytes, '\x76\x2f\x31\x01')) return 'exr'
  if (otherFormat(bytes) !== undefined) return undefined
  if (movieKind(bytes) !== undefined) return 'movie'
  if (starts(bytes, 'BM') && starts(bytes, '\0\0\0\0', 6)) return 'bmp'
  if (pnmKind(bytes) !== undefined) return 'pnm'
  return tgaHead(bytes) === undefined ? undefined : 'tga'
}

/** Camera raw in a container of its own, or marked after the first bytes of a TIFF. */
const isRawContainer = (bytes: Uint8Array) =>
  // A TIFF's header with another number in it.
  ['IIRO', 'IIRS', 'MMOR', 'IIU\0'].some((magic) => starts(bytes, magic)) ||
  (starts(bytes, 'II*\0') && starts(bytes, 'CR', 8)) ||
  (starts(bytes, 'II') && starts(bytes, 'HEAPCCDR', 6)) ||
  starts(bytes, 'ftypcrx ', 4) ||
  starts(bytes, 'CCD-RAW ', 8) ||
  starts(bytes, '\0MRM') ||
  starts(bytes, 'FOVb')

/** ffmpeg's name of a movie's container or stream. */
export type MovieKind = 'mov' | 'matroska' | 'mxf' | 'avi' | 'mpegts' | 'yuv4mpegpipe' | 'h264' | 'hevc'

export function movieKind(bytes: Uint8Array): MovieKind | undefined {
  if (['ftyp', 'moov', 'mdat', 'wide', 'free'].some((atom) => starts(bytes, atom, 4))) return 'mov'
  if (starts(bytes, '\x1a\x45\xdf\xa3')) return 'matroska'
  if (starts(bytes, '\x06\x0e\x2b\x34')) return 'mxf'
  if (starts(bytes, 'RIFF') && starts(bytes, 'AVI ', 8)) return 'avi'
  if (starts(bytes, 'YUV4MPEG2 ')) return 'yuv4mpegpipe'
  if (isTransportStream(bytes)) return 'mpegts'
  return byteStream(bytes)
}

/**
 * A video stream without container (annex B of ITU-T H.264 and H.265): a start code, then a unit that a stream may begin
 * with. Of H.265 these are parameter sets (32 to 34), a delimiter (35) or a message (39), of layer 0; of H.264 a
 * parameter set (7), a delimiter (9) or a message (6).
 */
function byteStream(bytes: Uint8Array): 'h264' | 'hevc' | undefined {
  const at = starts(bytes, '\0\0\0\x01') ? 4 : starts(bytes, '\0\0\x01') ? 3 : undefined
  if (at === undefined) return undefined
  const [first = 0, second = 0] = bytes.subarray(at)
  // The forbidden bit is 0 in both.
  if (first > 127) return undefined
  if ([32, 33, 34, 35, 39].includes(first >> 1) && second === 1) return 'hevc'
  return [6, 7, 9].includes(first & 31) ? 'h264' : undefined
}

/**
 * An MPEG-2 transport stream (ITU-T H.222.0, 2.4.3.2): packets of 188 bytes that begin with 0x47; those of AVCHD cameras
 * have a time of four bytes before each.
 */
const isTransportStream = (bytes: Uint8Array) =>
  [
    { first: 0, length: 188 },
    { first: 4, length: 192 },
  ].some(({ first, length }) => [0, 1, 2].every((packet) => bytes[first + packet * length] === 0x47))

/** Portable pictures: bits, grey, colour as text or bytes, any number of channels. */
type PnmKind = 'pbm' | 'pgm' | 'ppm' | 'pam'

export function pnmKind(bytes: Uint8Array): PnmKind | undefined {
  const blank = [9, 10, 13, 32].includes(bytes[2] ?? 0)
  if (!blank || bytes[0] !== 0x50) return undefined
  const kinds: Record<string, PnmKind> = {
    ...{ '1': 'pbm', '2': 'pgm', '3': 'ppm', '4': 'pbm', '5': 'pgm', '6': 'ppm' },
    '7': 'pam',
  }
  return kinds[String.fromCharCode(bytes[1]!)]
}

/** The size and depth that a TGA states. */
export interface TgaHead {
  readonly width: number
  readonly height: number
  /** Bits of a pixel, or of an entry of its palette. */
  readonly bits: number
  readonly grey: boolean
}

/** A TGA begins without a mark: with a header that makes sense (TGA 2.0 specification, section C). */
export function tgaHead(bytes: Uint8Array): TgaHead | undefined {
  if (bytes.length < 18) return undefined
  const at = (place: number) => bytes[place]!
  const [palette, type, depth, descriptor] = [at(1), at(2), at(16), at(17)]
  const [width, height] = [at(12) + 256 * at(13), at(14) + 256 * at(15)]
  const paletted = type % 8 === 1
  if (![1, 2, 3, 9, 10, 11].includes(type) || width * height === 0) return undefined
  // The two highest bits of the descriptor are reserved, and the palette's fields are 0 where there is none.
  if (palette > 1 || descriptor > 63 || (paletted && palette === 0)) return undefined
  if (palette === 0 && bytes.subarray(3, 8).some((byte) => byte !== 0)) return undefined
  if (![8, 15, 16, 24, 32].includes(depth)) return undefined
  return { width, height, bits: paletted ? at(7) : depth, grey: type % 8 === 3 }
}

/** What a file is that none of ours is, for messages. */
export function otherFormat(bytes: Uint8Array): string | undefined {
  if (starts(bytes, 'ftyp', 4)) {
    const brand = String.fromCharCode(...bytes.subarray(8, 12))
    if (['heic', 'heix', 'heim', 'heis', 'hevc', 'hevx', 'mif1', 'msf1'].includes(brand))
      return 'a HEIC picture'
    if (['avif', 'avis'].includes(brand)) return 'an AVIF picture'
  }
  const marks: readonly (readonly [string, number, string])[] = [
    ['GIF8', 0, 'a GIF picture'],
    ['8BPS', 0, 'a layered picture (PSD)'],
    ['%PDF', 0, 'a PDF'],
    // Releases of ffmpeg do not agree on which line comes first.
    ['PF\n', 0, 'a portable float map (PFM)'],
    ['Pf\n', 0, 'a portable float map (PFM)'],
    ['\0\0\0\x0cjP  ', 0, 'a JPEG 2000 picture'],
    ['\xff\x4f\xff\x51', 0, 'a JPEG 2000 picture'],
    ['\0\0\0\x0cJXL ', 0, 'a JPEG XL picture'],
    ['\xff\x0a', 0, 'a JPEG XL picture'],
    // Clips of camera raw, which only the software of their makers develops.
    ['\x52\x45\x44\x31', 4, 'a clip of camera raw'],
    ['\x52\x45\x44\x32', 4, 'a clip of camera raw'],
    ['\x41\x52\x52\x49', 0, 'a clip of camera raw'],
    ['PK\x03\x04', 0, 'a zip archive'],
    ['\x1f\x8b', 0, 'a gzip archive'],
  ]
  return marks.find(([mark, at]) => starts(bytes, mark, at))?.[2]
}

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

/**
 * The format of a file by its content, as `sniffFormat` tells it, and with camera raw told from the TIFF that it is built
 * as.
 *
 * @throws what the file system does
 */
export async function fileFormat(path: string): Promise<SniffedFormat | undefined> {
  const format = sniffFormat(await readHead(path))
  if (format !== 'tiff') return format
  const handle = await open(path)
  try {
    const raw = await isRawTiff(async (at, length) => {
      const bytes = new Uint8Array(length)
      const { bytesRead } = await handle.read(bytes, 0, length, at)
      return bytes.subarray(0, bytesRead)
    })
    return raw ? 'raw' : format
  } finally {
    await handle.close()
  }
}
