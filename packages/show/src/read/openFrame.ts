import { createHash } from 'node:crypto'
import { createReadStream } from 'node:fs'
import { readFile } from 'node:fs/promises'
import { given, IsochipError, isIsochipError, type Warning } from '@isochip/core'
import type { DecodedFrame } from '@isochip/frames'
import { decodeFootage, decodeFrame, decodeRaw, fileFormat, type SniffedFormat } from '@isochip/frames/node'
import { checkCancelled } from '../progress/checkCancelled.ts'
import type { MoviePlace, YcbcrReading } from '../showFile/show.ts'
import type { FileMemory } from './fileMemory.ts'

/** A file of frames, whose bytes were read to know what is in it. */
export interface FrameFile {
  readonly path: string
  /** As messages and provenance have it. */
  readonly name: string
  readonly sha256: string
  /** Of a still; a movie is larger than what should be kept. */
  readonly bytes?: Uint8Array
}

const footageEndings = [
  'dpx',
  'exr',
  'mov',
  'mp4',
  'm4v',
  'mxf',
  'mkv',
  'webm',
  'avi',
  'mts',
  'm2ts',
  'y4m',
  'h264',
  '264',
  'hevc',
  'h265',
  '265',
  'bmp',
  'tga',
  'ppm',
  'pgm',
  'pnm',
  'pam',
] as const

/** Of camera raw: DNG, and the endings that the trade has for the rest. */
const rawEndings = 'dng 3fr arw cr2 cr3 crw dcr erf iiq kdc mos mrw nef nrw orf pef raf rw2 srw x3f'.split(
  ' ',
)

const pictures: readonly (SniffedFormat | undefined)[] = ['dpx', 'exr', 'bmp', 'tga', 'pnm']

/**
 * By the content: `movie` and `picture` (DPX, OpenEXR, BMP, TGA, PNM) are what the system's ffmpeg decodes, `raw` what its
 * LibRaw does; where the content tells nothing, a name that ends like footage has ffmpeg say so. Everything else is a still
 * that is decoded here.
 */
export async function kindOf(path: string): Promise<'still' | 'raw' | 'picture' | 'movie'> {
  const format = await fileFormat(path).catch(() => undefined)
  if (format === 'raw') return 'raw'
  if (pictures.includes(format)) return 'picture'
  const named = footageEndings.some((ending) => path.toLowerCase().endsWith(`.${ending}`))
  return format === 'movie' || (format === undefined && named) ? 'movie' : 'still'
}

/** Endings of the files that are looked at where a folder is given. */
export const frameEndings: readonly string[] = [
  'png',
  'tif',
  'tiff',
  'jpg',
  'jpeg',
  'webp',
  ...footageEndings,
  ...rawEndings,
]

/**
 * Reads a file's bytes for their checksum.
 *
 * @param memory that a still's bytes are read into; they are to be given back to it
 * @throws IsochipError `frame-unreadable`
 */
export async function readFrameFile(path: string, name: string, memory?: FileMemory): Promise<FrameFile> {
  try {
    const hash = createHash('sha256')
    if ((await kindOf(path)) !== 'still') {
      for await (const piece of createReadStream(path)) hash.update(piece as Buffer)
      return { path, name, sha256: hash.digest('hex') }
    }
    const bytes = await (memory?.read(path) ?? readFile(path))
    return { path, name, sha256: hash.update(bytes).digest('hex'), bytes }
  } catch (cause) {
    const folder = (cause as NodeJS.ErrnoException).code === 'EISDIR'
    throw new IsochipError(
      'frame-unreadable',
      folder ? 'a folder where a frame is expected' : `the frame cannot be read: ${(cause as Error).message}`,
      {
        hint: folder ? 'name the frames in it: FOLDER/*.png' : 'check its permissions and the disk',
        place: { file: name },
        cause,
      },
    )
  }
}

/** How footage is to be read. */
export interface FootageReading {
  /** Where in a movie; default its first frame. */
  readonly at?: MoviePlace
  /** In place of what its tags say. */
  readonly ycbcr?: YcbcrReading
}

/**
 * Decodes a still, or frames of a movie.
 *
 * @throws IsochipError `frame-unreadable`, also for a place in a still; `tool-missing`; `cancelled`
 */
export async function openFrames(
  { path, name, bytes }: Pick<FrameFile, 'path' | 'name' | 'bytes'>,
  { at, ycbcr }: FootageReading = {},
  signal?: AbortSignal,
): Promise<readonly DecodedFrame[]> {
  const place = { file: name }
  const kind = bytes === undefined ? await kindOf(path) : 'still'
  if (kind !== 'movie' && at !== undefined)
    throw new IsochipError('frame-unreadable', 'a place in a movie is given, and this is a still', {
      hint: 'give the place only where all frames of the setup are movies',
      place,
    })
  const unused: Warning = {
    code: 'ycbcr-unused',
    message: 'a matrix or range of Y′CbCr is set for clips, and this is a still',
    place,
  }
  const set = ycbcr?.matrix !== undefined || ycbcr?.range !== undefined
  if (kind === 'still') {
    const frame = await decodeFrame(bytes ?? (await readFile(path)), { file: name })
    return [set ? { ...frame, warnings: [...frame.warnings, unused] } : frame]
  }
  try {
    const ended = given({ signal })
    const frames =
      kind === 'raw'
        ? [await decodeRaw(path, ended)]
        : await decodeFootage(path, { ...at, ...ycbcr, ...ended })
    return frames.map((frame) => ({
      ...frame,
      file: name,
      warnings: [
        ...frame.warnings.map((warning) => ({ ...warning, place: { ...warning.place, ...place } })),
        ...(kind === 'raw' && set ? [unused] : []),
      ],
    }))
  } catch (cause) {
    // Whoever ends this program at the keyboard ends ffmpeg with it, which then has its own account of it.
    checkCancelled(signal)
    if (!isIsochipError(cause)) throw cause
    const { code, message, hint } = cause
    throw new IsochipError(code, message, { hint, place: { ...cause.place, ...place }, cause })
  }
}

/** The still, or the first of the frames. @throws IsochipError as `openFrames` */
export async function openFrame(
  file: Pick<FrameFile, 'path' | 'name' | 'bytes'>,
  { at, ...reading }: FootageReading = {},
): Promise<DecodedFrame> {
  const first = at && { at: { ...at, count: 1 } }
  const [frame] = await openFrames(file, { ...reading, ...first })
  // At least one frame was asked for: the decoder gives it or throws.
  return frame!
}
