import { basename, dirname, resolve } from 'node:path'
import { given, IsochipError, type Warning } from '@isochip/core'
import { runTool } from '../runTool.ts'
import {
  type ClipReading,
  lastLine,
  matrixTags,
  openFootage,
  type Stream,
  zscaleMatrices,
} from './openFootage.ts'

interface Codec {
  readonly pixelFormat: string
  readonly encoder: readonly string[]
  /** Muxer, and the ending of its files. */
  readonly muxer: 'mov' | 'matroska'
  readonly ending: 'mov' | 'mkv'
}

const prores = (profile: number, pixelFormat: string): Codec => ({
  pixelFormat,
  encoder: ['-c:v', 'prores_ks', '-profile:v', String(profile)],
  muxer: 'mov',
  ending: 'mov',
})
const dnx = (profile: string, pixelFormat: string): Codec => ({
  pixelFormat,
  encoder: ['-c:v', 'dnxhd', '-profile:v', profile],
  muxer: 'mov',
  ending: 'mov',
})

/** Mezzanine codecs by the names that the trade has for them. */
export const clipCodecs = {
  'prores-422': prores(2, 'yuv422p10le'),
  'prores-422-hq': prores(3, 'yuv422p10le'),
  'prores-4444': prores(4, 'yuv444p10le'),
  'dnxhr-hqx': dnx('dnxhr_hqx', 'yuv422p10le'),
  'dnxhr-444': dnx('dnxhr_444', 'yuv444p10le'),
  /** Without loss, R′G′B′ of 16 bits. */
  ffv1: {
    pixelFormat: 'gbrp16le',
    encoder: ['-c:v', 'ffv1', '-level', '3'],
    muxer: 'matroska',
    ending: 'mkv',
  },
} as const satisfies Record<string, Codec>

export type ClipCodec = keyof typeof clipCodecs

export interface LutOnClipOptions extends ClipReading {
  readonly codec: ClipCodec
  /** Frames that are done, and how many there are, where the clip tells. */
  readonly onFrames?: (done: number, all: number | undefined) => void
}

/**
 * Applies a LUT to a clip: the system's ffmpeg decodes it as `decodeFootage` does, looks the levels up by tetrahedra in
 * single precision, and encodes. Tags of primaries, transfer and matrix are kept, sound is copied. Y′CbCr comes out in narrow range,
 * as mezzanine codecs have it.
 *
 * @param lut a `.cube` file with a 3D table, whose name is of letters, digits and dots
 * @param out the file to be written; whatever is there is replaced
 * @returns what there is to say of the clip
 * @throws IsochipError as `decodeFootage`; `output-unwritable` where it cannot be encoded
 */
export async function lutOnClip(
  path: string,
  lut: string,
  out: string,
  options: LutOnClipOptions,
): Promise<readonly Warning[]> {
  const { codec, signal, onFrames = () => undefined } = options
  if (!/^[\w.]+$/.test(basename(lut))) throw new RangeError(`the name ${basename(lut)} would need quoting`)
  const { pixelFormat, encoder, muxer }: Codec = clipCodecs[codec]
  const { input, stream, plan } = await openFootage(path, options)
  const matrix = matrixTag(stream, options.matrix)
  const rgb = pixelFormat.startsWith('gbr')
  const all = framesOf(stream)
  const filters = [
    ...levels(plan),
    `lut3d=file=${basename(lut)}:interp=tetrahedral`,
    coded(rgb, matrix),
    `format=${pixelFormat}`,
    ...tags(stream, rgb ? undefined : matrix),
  ]
  const { status, stderr } = await runTool(
    options.ffmpeg ?? 'ffmpeg',
    [
      ...['-nostdin', '-hide_banner', '-loglevel', 'error', '-progress', 'pipe:1', '-noautorotate', ...input],
      ...['-map', '0:v:0', '-map', '0:a?', '-map_metadata', '0'],
      ...['-vf', filters.join(',')],
      ...['-pix_fmt', pixelFormat, ...encoder, '-c:a', 'copy', '-fps_mode', 'passthrough'],
      ...['-f', muxer, '-y', `file:${resolve(out)}`],
    ],
    {
      file: path,
      limit: 0,
      folder: resolve(dirname(lut)),
      onOutput: (text) => {
        const [done] = [...text.matchAll(/^frame=\s*(\d+)$/gm)].map(([, count]) => Number(count)).slice(-1)
        if (done !== undefined) onFrames(done, all)
      },
      ...given({ signal }),
    },
  )
  if (status !== 0)
    throw new IsochipError(
      'output-unwritable',
      `ffmpeg cannot decode or encode the clip: ${lastLine(stderr)}`,
      {
        hint: 'is there room on the disk, and is the clip whole? Sound that the file cannot hold stops it too: another codec has another kind of file',
        place: { file: path },
      },
    )
  // Decoders stop at the end of a clip that was cut off, and say so on the side only.
  return stderr === ''
    ? plan.warnings
    : [
        ...plan.warnings,
        {
          code: 'clip-damaged',
          message: `ffmpeg had this to say of the clip: ${lastLine(stderr)}`,
          place: { file: path },
        },
      ]
}

/** R′G′B′ levels in single precision. */
function levels({
  filters,
  pixelFormat,
}: {
  readonly filters: readonly string[]
  readonly pixelFormat: string
}) {
  if (filters.length > 0) return filters
  // R′G′B′ of whole codes: fractions of the full range, as `createFrame` has them.
  if (pixelFormat.includes('f32')) return []
  return [
    'format=gbrp|gbrp10le|gbrp12le|gbrp14le|gbrp16le',
    'zscale=matrixin=gbr:rangein=full:matrix=gbr:range=full',
    'format=gbrpf32le',
  ]
}

const coded = (rgb: boolean, matrix: string) =>
  rgb
    ? 'zscale=matrixin=gbr:rangein=full:matrix=gbr:range=full'
    : `zscale=matrixin=gbr:rangein=full:matrix=${zscaleMatrices[matrix] ?? '709'}:range=limited`

/** As the clip was read: by what is set, its tag, or its size. */
function matrixTag(stream: Stream, set: ClipReading['matrix']): string {
  if (set !== undefined) return matrixTags[set]
  const tag = stream.color_space
  if (tag !== undefined && tag in zscaleMatrices) return tag
  return stream.height >= 720 || /^(gbr|rgb|bgr|0rgb|argb)/.test(stream.pix_fmt) ? 'bt709' : 'smpte170m'
}

/** A filter: what is said to the encoder is lost on the way in some releases. */
function tags({ color_primaries, color_transfer }: Stream, matrix: string | undefined): string[] {
  const known = (tag: string | undefined) => tag !== undefined && /^[\w-]+$/.test(tag) && tag !== 'unknown'
  const said = [
    ...(known(color_primaries) ? [`color_primaries=${color_primaries}`] : []),
    ...(known(color_transfer) ? [`color_trc=${color_transfer}`] : []),
    ...(matrix === undefined ? [] : [`colorspace=${matrix}`, 'range=tv']),
  ]
  return said.length === 0 ? [] : [`setparams=${said.join(':')}`]
}

/** How many frames a clip has, by its container, or its length and rate. */
function framesOf({ nb_frames, duration, avg_frame_rate = '' }: Stream): number | undefined {
  const counted = Number(nb_frames)
  if (counted > 0) return counted
  const [frames, base] = avg_frame_rate.split('/').map(Number)
  const reckoned = Math.round((Number(duration) * frames!) / base!)
  return reckoned > 0 && Number.isFinite(reckoned) ? reckoned : undefined
}
