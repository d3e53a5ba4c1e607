import { createHash } from 'node:crypto'
import { createReadStream } from 'node:fs'
import { readFile } from 'node:fs/promises'
import { IsochipError } from '@isochip/core'
import type { DecodedFrame } from '@isochip/frames'
import { decodeFootage, decodeFrame } from '@isochip/frames/node'

/** A file of frames, whose bytes were read to know what is in it. */
export interface FrameFile {
  readonly path: string
  /** As messages and provenance have it. */
  readonly name: string
  readonly sha256: string
  /** Of a still; a movie is larger than what should be kept. */
  readonly bytes?: Uint8Array
}

/** What the system's ffmpeg decodes; everything else is a still that is decoded here. */
const footageEndings = ['dpx', 'exr', 'mov', 'mp4', 'm4v', 'mxf', 'mkv', 'avi'] as const
const isFootage = (path: string) => footageEndings.some((ending) => path.toLowerCase().endsWith(`.${ending}`))

/** Endings of the files that are looked at where a folder is given. */
export const frameEndings: readonly string[] = [
  'png',
  'tif',
  'tiff',
  'jpg',
  'jpeg',
  'webp',
  ...footageEndings,
]

/**
 * Reads a file's bytes for their checksum.
 *
 * @throws IsochipError `frame-unreadable`
 */
export async function readFrameFile(path: string, name: string): Promise<FrameFile> {
  try {
    const hash = createHash('sha256')
    if (isFootage(path)) {
      for await (const piece of createReadStream(path)) hash.update(piece as Buffer)
      return { path, name, sha256: hash.digest('hex') }
    }
    const bytes = await readFile(path)
    return { path, name, sha256: hash.update(bytes).digest('hex'), bytes }
  } catch (cause) {
    throw new IsochipError('frame-unreadable', `the frame cannot be read: ${(cause as Error).message}`, {
      hint: 'check its permissions and the disk',
      place: { file: name },
      cause,
    })
  }
}

/**
 * Decodes a still, or the first frame of a movie.
 *
 * @throws IsochipError `frame-unreadable`, `tool-missing`
 */
export async function openFrame({
  path,
  name,
  bytes,
}: Pick<FrameFile, 'path' | 'name' | 'bytes'>): Promise<DecodedFrame> {
  if (!isFootage(path)) return await decodeFrame(bytes ?? (await readFile(path)), { file: name })
  try {
    const [frame] = await decodeFootage(path)
    // One frame was asked for: the decoder gives it or throws.
    const first = frame!
    const warnings = first.warnings.map((warning) => ({
      ...warning,
      place: { ...warning.place, file: name },
    }))
    return { ...first, file: name, warnings }
  } catch (cause) {
    if (!(cause instanceof IsochipError)) throw cause
    throw new IsochipError(cause.code, cause.message, {
      ...(cause.hint === undefined ? {} : { hint: cause.hint }),
      place: { ...cause.place, file: name },
      cause,
    })
  }
}
