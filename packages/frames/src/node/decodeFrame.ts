import { readFile } from 'node:fs/promises'
import { IsochipError, type Warning, type WarningCode } from '@isochip/core'
import type { Metadata } from 'sharp'
import { createFrame, type DecodedFrame, type Frame } from '../frame/frame.ts'
import { isRawTiff } from '../frame/isRawTiff.ts'
import { decodeRaw } from './decodeRaw.ts'
import { decodeFootage } from './footage/decodeFootage.ts'
import { loadSharp } from './loadSharp.ts'
import { profileName } from './profileName.ts'
import { samplesOf } from './samplesOf.ts'
import { fileFormat, otherFormat, type SniffedFormat, sniffFormat } from './sniffFormat.ts'

export interface DecodeOptions {
  /** Name for messages where bytes are given. */
  readonly file?: string
  /** Largest number of pixels that is decoded. Default 16384 × 8640. */
  readonly maxPixels?: number
}

const defaultMaxPixels = 16384 * 8640
const formats = 'PNG, TIFF (8 and 16 bit, 32-bit float), JPEG, WebP'

/** What is decoded here; other programs do the rest. */
const stills: readonly SniffedFormat[] = ['png', 'jpeg', 'tiff', 'webp']
const named: Partial<Record<SniffedFormat, string>> = {
  exr: 'OpenEXR',
  raw: 'camera raw',
  movie: 'a movie',
  pnm: 'a portable picture',
}

type Depth = 'uchar' | 'ushort' | 'float'

const bitsOf: Record<Depth, 8 | 16 | 'float'> = { uchar: 8, ushort: 16, float: 'float' }

/**
 * A still, bit for bit as its file holds it (camera raw by `decodeRaw`; of a movie, DPX, OpenEXR, BMP, TGA or portable
 * picture, the first frame by `decodeFootage`): no profile, gamma chunk or orientation is applied. Grey becomes R = G =
 * B, a palette its colours, alpha is dropped, which `warnings` tells.
 *
 * @param input path, or the file's bytes
 * @throws IsochipError `frame-unreadable`: no such file, empty, cut off, another format, CMYK or Lab, more pixels
 *   than allowed, samples of a kind that cannot be read exactly; `tool-missing`: sharp is not installed
 */
export async function decodeFrame(
  input: string | Uint8Array,
  options: DecodeOptions = {},
): Promise<DecodedFrame> {
  const file = typeof input === 'string' ? input : (options.file ?? 'frame')
  const fault = (message: string, hint: string, cause?: unknown) =>
    new IsochipError('frame-unreadable', message, { hint, place: { file }, cause })
  if (typeof input === 'string') {
    const format = await fileFormat(input).catch(() => undefined)
    if (format === 'raw') return await decodeRaw(input)
    if (format !== undefined && !stills.includes(format)) {
      const [frame] = await decodeFootage(input)
      return frame!
    }
  }
  const bytes = typeof input === 'string' ? await readBytes(input, fault) : input
  if (bytes.length === 0)
    throw fault('the file is empty', 'copy it again; the transfer may have been cut off')
  const sniffed = sniffFormat(bytes)
  const raw = sniffed === 'tiff' && (await isRawTiff(async (at, length) => bytes.subarray(at, at + length)))
  const format = raw ? 'raw' : sniffed
  if (format === undefined) {
    const other = otherFormat(bytes)
    throw fault(
      `${other === undefined ? 'the first bytes are of' : `${other}:`} no format that can be read`,
      `save the frame as one of ${formats}`,
    )
  }
  if (!stills.includes(format))
    throw fault(
      `${named[format] ?? format.toUpperCase()} is read from a path, not from bytes`,
      `save the frame as one of ${formats}`,
    )

  const sharp = await loadSharp()
  const maxPixels = options.maxPixels ?? defaultMaxPixels
  const open = { ignoreIcc: true, failOn: 'warning', limitInputPixels: maxPixels } as const
  let meta: Metadata
  try {
    meta = await sharp(bytes, open).metadata()
  } catch (cause) {
    if (/pixel limit/i.test(String(cause)))
      throw fault(
        `the frame has over ${maxPixels} pixels`,
        'scale it down, or allow more with maxPixels',
        cause,
      )
    throw fault(`broken ${format.toUpperCase()} file: its header cannot be read`, brokenHint, cause)
  }
  const depth = checkKind(meta, fault)
  const channels = meta.channels
  // The decoder's own words stay in the cause: its threads share them, so that they may be about another file.
  const broken = (what: string, cause?: unknown) =>
    fault(`broken ${format.toUpperCase()} file: ${what}`, brokenHint, cause)
  const { data: pixels, info } = await sharp(bytes, open)
    .toColourspace(meta.space)
    .raw({ depth })
    .toBuffer({ resolveWithObject: true })
    .catch((cause: unknown) => {
      throw broken('its pixels cannot be decoded', cause)
    })
  if (info.width !== meta.width || info.height !== meta.height)
    throw broken(`${info.width} × ${info.height} pixels where ${meta.width} × ${meta.height} are declared`)
  const { width, height } = meta
  const samples = samplesOf(pixels, bitsOf[depth])
  const perPixel = samples.length / (width * height)
  if (!Number.isInteger(perPixel) || perPixel < 1 || perPixel > 4)
    throw fault(`${samples.length} samples for ${width} × ${height} pixels`, brokenHint)
  const frame = createFrame(width, height, toRgb(samples, perPixel, width * height), bitsOf[depth], file)
  const alpha = meta.hasAlpha || channels === 2 || channels === 4 || perPixel === 2 || perPixel === 4
  return { ...frame, warnings: warningsOf(meta, alpha, file) }
}

type Fault = (message: string, hint: string, cause?: unknown) => IsochipError

const brokenHint = 'copy it again or save it anew; the transfer may have been cut off'

const reason = (cause: unknown) =>
  (cause instanceof Error ? cause.message : String(cause)).replace(/\s*\n\s*/g, '; ').slice(0, 200)

async function readBytes(path: string, fault: Fault): Promise<Uint8Array> {
  try {
    return await readFile(path)
  } catch (cause) {
    const code = (cause as NodeJS.ErrnoException).code
    if (code === 'ENOENT')
      throw fault('no such file', 'check the path; paths in a show file start at the show file', cause)
    if (code === 'EISDIR') throw fault('a folder where a frame is expected', 'name the frame file', cause)
    if (code === 'EACCES') throw fault('the file may not be read', 'check its permissions', cause)
    throw fault(`the file cannot be read: ${reason(cause)}`, 'check the disk and the path', cause)
  }
}

function checkKind(meta: Metadata, fault: Fault): Depth {
  const hint = `save the frame as RGB or grey in one of ${formats}`
  if (!['srgb', 'rgb', 'rgb16', 'b-w', 'grey16', 'scrgb', 'multiband'].includes(meta.space))
    throw fault(`colour model ${meta.space} where RGB or grey is expected`, hint)
  const { depth } = meta
  if (depth !== 'uchar' && depth !== 'ushort' && depth !== 'float')
    throw fault(`samples of kind ${depth} where 8 or 16 bit or 32-bit float are expected`, hint)
  return depth
}

function toRgb(samples: Frame['data'], perPixel: number, pixels: number): Frame['data'] {
  if (perPixel === 3) return samples
  const Kind = samples.constructor as new (length: number) => Frame['data']
  const out = new Kind(3 * pixels)
  const green = perPixel >= 3 ? 1 : 0
  const blue = perPixel >= 3 ? 2 : 0
  for (let from = 0, to = 0; to < out.length; from += perPixel, to += 3) {
    out[to] = samples[from]!
    out[to + 1] = samples[from + green]!
    out[to + 2] = samples[from + blue]!
  }
  return out
}

function warningsOf(meta: Metadata, alpha: boolean, file: string): Warning[] {
  const warnings: Warning[] = []
  const warn = (code: WarningCode, message: string) => warnings.push({ code, message, place: { file } })
  if (alpha) warn('alpha-dropped', 'the frame has an alpha channel; it was dropped')
  if (meta.icc !== undefined) {
    const name = profileName(meta.icc)
    warn(
      'profile-ignored',
      `the file has an ICC profile${name === undefined ? '' : ` (${name})`}, which is not applied: pixels are taken as stored, and mean what the encoding says`,
    )
  }
  if (meta.orientation !== undefined && meta.orientation > 1)
    warn(
      'orientation-kept',
      `the file asks to be turned or mirrored on display (EXIF orientation ${meta.orientation}); pixels and corners are taken as stored`,
    )
  if (meta.pages !== undefined && meta.pages > 1)
    warn('first-page', `the file holds ${meta.pages} pictures; the first was read`)
  return warnings
}
