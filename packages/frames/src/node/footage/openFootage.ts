import { readFile } from 'node:fs/promises'
import { resolve } from 'node:path'
import { exp2, given, IsochipError, type Warning, type WarningCode } from '@isochip/core'
import type { Frame } from '../../frame/frame.ts'
import { exrFault } from '../exrFault.ts'
import { regularFile } from '../regularFile.ts'
import { runTool } from '../runTool.ts'
import {
  movieKind,
  otherFormat,
  pnmKind,
  readHead,
  type SniffedFormat,
  sniffFormat,
  tgaHead,
} from '../sniffFormat.ts'
import { type RgbLayout, rgbLayout } from './pixelFormat.ts'

/** How a clip is to be read. */
export interface ClipReading {
  /** Range of a YCbCr stream, where its tag is missing or wrong. */
  readonly range?: 'full' | 'narrow'
  /** Y′CbCr matrix of a stream, where its tag is missing or wrong. */
  readonly matrix?: 'bt709' | 'bt2020' | 'bt601'
  /** Programs. Default `ffmpeg` and `ffprobe` from the PATH. */
  readonly ffmpeg?: string
  readonly ffprobe?: string
  /** Ends the programs; what is thrown is the signal's own error. */
  readonly signal?: AbortSignal
}

/** Tags of a stream → names of the matrix in zscale. */
export const zscaleMatrices: Readonly<Record<string, string>> = {
  bt709: '709',
  bt2020nc: '2020_ncl',
  smpte170m: '170m',
  bt470bg: '470bg',
}

/** A matrix that is set → its tag. */
export const matrixTags = { bt709: 'bt709', bt2020: 'bt2020nc', bt601: 'smpte170m' } as const

const chromaSitings = ['left', 'center', 'topleft', 'top', 'bottomleft', 'bottom']

export interface Stream {
  readonly width: number
  readonly height: number
  readonly pix_fmt: string
  readonly color_space?: string
  readonly color_range?: string
  readonly color_primaries?: string
  readonly color_transfer?: string
  readonly chroma_location?: string
  readonly field_order?: string
  /** A fraction, such as `24000/1001`. */
  readonly avg_frame_rate?: string
  /** Frames, and seconds, where the container knows. */
  readonly nb_frames?: string
  readonly duration?: string
  readonly disposition?: { readonly attached_pic?: 0 | 1 }
  readonly side_data_list?: readonly { readonly rotation?: number }[]
}

type Fault = (message: string, hint?: string) => IsochipError

/** What is thrown of a file that cannot be read. */
export const footageFault =
  (path: string): Fault =>
  (message, hint = savedElsewhere) =>
    new IsochipError('frame-unreadable', message, { hint, place: { file: path } })

const savedElsewhere = 'play the file to see that it is whole, or save the frame as a 16-bit PNG or TIFF'
const maxPixels = 16384 * 8640

/** Footage that can be decoded, and how. */
export interface OpenFootage {
  /** Arguments of ffmpeg that name the file, and the demuxer in them. */
  readonly input: readonly string[]
  readonly demuxer: readonly string[]
  readonly stream: Stream
  readonly plan: Plan
}

/**
 * Looks at a file before it is decoded.
 *
 * @throws IsochipError as `decodeFootage`
 */
export async function openFootage(path: string, options: ClipReading): Promise<OpenFootage> {
  const fault = footageFault(path)
  await regularFile(path, fault)
  const head = await readHead(path)
  const format = sniffFormat(head)
  const demuxer = demuxerOf(format, head)
  if (demuxer === undefined)
    throw fault(
      `${otherFormat(head) ?? 'the first bytes are'}${otherFormat(head) === undefined ? ' of no' : ', not a'} movie, DPX or OpenEXR file`,
    )
  if (format === 'exr') {
    const wrong = exrFault(await readFile(path))
    if (wrong !== undefined) throw fault(wrong)
  }
  const input = inputArguments(path, demuxer)
  const probed =
    format === 'tga' ? { stream: tgaStream(head), tracks: 1 } : await probe(input, path, options, fault)
  return { input, demuxer, stream: probed.stream, plan: planOf(probed, options, path, fault) }
}

const pictureDemuxers: Partial<Record<SniffedFormat, readonly string[]>> = {
  exr: ['-f', 'exr_pipe'],
  dpx: ['-f', 'dpx_pipe'],
  bmp: ['-f', 'bmp_pipe'],
  // There is no demuxer of this one alone.
  tga: ['-f', 'image2', '-pattern_type', 'none', '-c:v', 'targa'],
}

/** ffprobe cannot be told that a file is a TGA, which its name need not say. */
function tgaStream(head: Uint8Array): Stream {
  const { width, height, bits, grey } = tgaHead(head)!
  const colour = bits === 32 ? 'bgra' : bits === 24 ? 'bgr24' : `of ${bits} bits`
  return { width, height, pix_fmt: grey && bits === 8 ? 'gray' : colour }
}

/** What ffmpeg is to read a file as; `undefined` where that is not for it to read. */
function demuxerOf(format: SniffedFormat | undefined, head: Uint8Array): readonly string[] | undefined {
  if (format === 'movie') return ['-f', movieKind(head)!]
  if (format === 'pnm') return ['-f', `${pnmKind(head)}_pipe`]
  return format && pictureDemuxers[format]
}

/**
 * The demuxer is named, so that `%04d` in a name is no pattern and a short transport stream is not taken for something
 * else; `file:` keeps a dash or colon harmless.
 */
const inputArguments = (path: string, demuxer: readonly string[]) => [
  ...['-protocol_whitelist', 'file,pipe', ...demuxer],
  ...['-i', `file:${resolve(path)}`],
]

/** Of what a program had to say. */
export const lastLine = (text: string) =>
  (text.split('\n').at(-1) ?? '').replace(/^\[[^\]]*\]\s*/, '').slice(0, 200)

interface Probed {
  /** The first track of pictures. */
  readonly stream: Stream
  /** How many there are, beside pictures of a cover. */
  readonly tracks: number
}

async function probe(
  input: readonly string[],
  path: string,
  { ffprobe = 'ffprobe', signal }: ClipReading,
  fault: Fault,
): Promise<Probed> {
  const { status, stdout, stderr } = await runTool(
    ffprobe,
    ['-hide_banner', '-loglevel', 'error', '-select_streams', 'v', '-show_streams', '-of', 'json', ...input],
    { file: path, limit: 1e6, ...given({ signal }) },
  )
  if (status !== 0) throw fault(`ffprobe cannot read it: ${lastLine(stderr)}`)
  const { streams = [] } = JSON.parse(stdout.toString()) as { streams?: readonly Partial<Stream>[] }
  const [stream] = streams
  if (stream?.width === undefined || stream.height === undefined || stream.pix_fmt === undefined)
    throw fault('there is no picture in the file')
  if (stream.width * stream.height > maxPixels)
    throw fault(`the frame has over ${maxPixels} pixels`, 'scale it down')
  const tracks = streams.filter(({ disposition }) => disposition?.attached_pic !== 1).length
  return { stream: stream as Stream, tracks: Math.max(1, tracks) }
}

interface Plan {
  /** Of the frames that come out. */
  readonly width: number
  readonly height: number
  readonly pixelFormat: string
  readonly layout: RgbLayout
  readonly filters: readonly string[]
  /** Where levels clip, and how far its codes are apart: of Y′CbCr only, since RGB keeps its codes. */
  readonly levels?: Pick<Frame, 'clip' | 'step' | 'taggedRange'>
  readonly warnings: readonly Warning[]
}

/** Bits of a component, by the name of a Y′CbCr pixel format: `yuv422p10le`, `p010le`, `y210le`, `nv12` (8). */
const bitsOf = (name: string) => Number(/^(?:yuva?\d+p|p[024]|y2)(\d\d)(?:le|be)?$/.exec(name)?.[1] ?? 8)

function planOf({ stream, tracks }: Probed, options: ClipReading, path: string, fault: Fault): Plan {
  const warnings: Warning[] = []
  const warn = (code: WarningCode, message: string) => warnings.push({ code, message, place: { file: path } })
  if (tracks > 1) warn('first-track', `the clip has ${tracks} tracks of pictures; the first was read`)
  if (stream.side_data_list?.some(({ rotation }) => (rotation ?? 0) !== 0))
    warn('orientation-kept', 'the clip asks to be turned on display; pixels and corners are taken as stored')
  if (stream.field_order !== undefined && !['progressive', 'unknown'].includes(stream.field_order))
    warn('interlaced', 'the clip is interlaced: what moves is combed; use a locked-off shot of the chart')
  const name = stream.pix_fmt
  const native = rgbLayout(name)
  if (native !== undefined) {
    if (native.alpha) warn('alpha-dropped', 'the frame has an alpha channel; it was dropped')
    if (options.matrix !== undefined || options.range !== undefined)
      warn('ycbcr-unused', 'a matrix or range of Y′CbCr is set, and the clip holds R′G′B′, which has none')
    const { width, height } = stream
    return { width, height, pixelFormat: name, layout: native, filters: [], warnings }
  }
  if (!/^(yuv|nv\d|p0\d|p2\d|uyvy|yuyv|y2\d)/.test(name))
    throw fault(`pixel format ${name} is not read exactly`)
  const said = stream.color_space === 'unknown' ? undefined : stream.color_space
  const tag = options.matrix === undefined ? said : matrixTags[options.matrix]
  const assumed = stream.height >= 720 ? 'bt709' : 'smpte170m'
  const matrix = zscaleMatrices[tag ?? assumed]
  if (matrix === undefined)
    throw fault(
      `the matrix ${tag} is not read exactly`,
      'save the frame as an RGB picture, such as a 16-bit PNG',
    )
  if (tag === undefined)
    warn(
      'matrix-assumed',
      `the clip does not name its matrix; ${assumed === 'bt709' ? 'BT.709' : 'BT.601'} was taken, as for its size`,
    )
  // "j" formats are full range by their name.
  const tagged = name.startsWith('yuvj') ? 'pc' : stream.color_range
  if (options.range === undefined && tagged !== 'pc' && tagged !== 'tv')
    warn('range-assumed', 'the clip does not name its range; narrow was taken, as is usual for Y′CbCr')
  const full = options.range === undefined ? tagged === 'pc' : options.range === 'full'
  if (/^yuva/.test(name)) warn('alpha-dropped', 'the frame has an alpha channel; it was dropped')
  const siting = chromaSitings.includes(stream.chroma_location ?? '')
    ? `:chromalin=${stream.chroma_location}`
    : ''
  // The converter takes whole samples of chroma only: what lies beyond the last at the right and lower edge is left out.
  const unit = /444/.test(name) ? 1 : /41[01]/.test(name) ? 4 : 2
  const [width, height] = [stream.width - (stream.width % unit), stream.height - (stream.height % unit)]
  if (width === 0 || height === 0) throw fault(`${stream.width} × ${stream.height} pixels are not a picture`)
  return {
    width,
    height,
    pixelFormat: 'gbrpf32le',
    layout: rgbLayout('gbrpf32le')!,
    filters: [
      ...(width === stream.width && height === stream.height ? [] : [`crop=${width}:${height}:0:0`]),
      `zscale=matrixin=${matrix}:rangein=${full ? 'full' : 'limited'}${siting}:matrix=gbr:range=full`,
      'format=gbrpf32le',
    ],
    levels: {
      ...(options.range === undefined ? { taggedRange: full ? ('full' as const) : ('narrow' as const) } : {}),
      // Top and bottom code of 8-bit video, 254 and 1, as levels; deeper video ends a little beyond (BT.709-6, item 4.6).
      clip: full ? { low: 0.001, high: 0.998 } : { low: (1.25 - 16) / 219, high: (253.75 - 16) / 219 },
      step: (full ? 1 / 255 : 1 / 219) / exp2(bitsOf(name) - 8),
    },
    warnings,
  }
}
