import { createFrame, type DecodedFrame } from '../../frame/frame.ts'
import { runTool } from '../runTool.ts'
import { type ClipReading, footageFault, lastLine, openFootage, type Stream } from './openFootage.ts'
import { layoutBytes, unpackRgb } from './pixelFormat.ts'

export interface FootageOptions extends ClipReading {
  /** Where to begin: seconds from the start of the clip; the frame that is on screen then. Default 0. */
  readonly seconds?: number
  /** Where to begin: number of the frame, from 0. Not together with `seconds`. */
  readonly frame?: number
  /** Frames in a row. Default 1. */
  readonly count?: number
}

/** Of all frames together: what one buffer holds, and what a machine has. */
const mostBytes = 2e9

/**
 * Frames of a movie, or a DPX, OpenEXR, BMP, TGA or portable picture (PNM), through the system's ffmpeg. RGB keeps its codes (OpenEXR its
 * levels) bit for bit; Y′CbCr is turned into R′G′B′ levels by the stream's matrix and range, so its range is taken
 * out already, and what lies below black and above white is kept. Only local files are opened.
 *
 * @throws IsochipError `tool-missing` without ffmpeg; `frame-unreadable`: no such file, no picture in it, cut off,
 *   a matrix or pixel format that cannot be read exactly, no frame at that time
 */
export async function decodeFootage(
  path: string,
  options: FootageOptions = {},
): Promise<readonly DecodedFrame[]> {
  const fault = footageFault(path)
  const { seconds, frame, count = 1 } = options
  if (seconds !== undefined && frame !== undefined) throw new RangeError('seconds and frame given at once')
  if (!(Number.isInteger(count) && count >= 1 && count <= 1000))
    throw new RangeError(`count ${count} is not within 1…1000`)
  if (!((seconds ?? 0) >= 0 && Number.isFinite(seconds ?? 0))) throw new RangeError(`seconds ${seconds}`)
  if (!(Number.isInteger(frame ?? 0) && (frame ?? 0) >= 0)) throw new RangeError(`frame ${frame}`)
  const { input, demuxer, stream, plan } = await openFootage(path, options)
  const { width, height, layout, warnings } = plan
  const size = layoutBytes(layout, width, height)
  if (size * count > mostBytes)
    throw fault(
      `${count} frames of ${width} × ${height} take ${(1e-9 * size * count).toFixed(1)} GB of memory`,
      'ask for fewer frames: a dozen take most of the noise out',
    )
  const place = seconds === undefined ? 0 : seekPlace(seconds, stream)
  const near = jumpTo(place, demuxer)
  const seek = (to: number) => (to > 0 ? ['-ss', String(to)] : [])
  const filters = [...(frame === undefined ? [] : [`select=gte(n\\,${frame})`]), ...plan.filters]
  const { status, stdout, stderr } = await runTool(
    options.ffmpeg ?? 'ffmpeg',
    [
      ...['-nostdin', '-hide_banner', '-loglevel', 'error', '-noautorotate', ...seek(near), ...input],
      ...[...seek(place - near), '-map', '0:v:0', '-frames:v', String(count), '-fps_mode', 'passthrough'],
      ...(filters.length === 0 ? [] : ['-vf', filters.join(',')]),
      ...['-f', 'rawvideo', '-pix_fmt', plan.pixelFormat, 'pipe:1'],
    ],
    {
      file: path,
      limit: size * count,
      ...(frame === undefined
        ? {}
        : { hint: 'give the place in seconds: a frame is counted from the start' }),
      ...(options.signal === undefined ? {} : { signal: options.signal }),
    },
  )
  if (status !== 0) throw fault(`ffmpeg cannot decode it: ${lastLine(stderr)}`)
  if (stdout.length !== size * count)
    throw fault(
      stdout.length < size
        ? `there is no frame ${seconds === undefined ? `number ${frame ?? 0}` : `at ${seconds} s`}`
        : `${Math.floor(stdout.length / size)} frames where ${count} were asked for`,
      'ask for an earlier or for fewer frames; a clip cut off in copying ends early',
    )
  return Array.from({ length: count }, (_, k) => {
    const raw = stdout.subarray(k * size, (k + 1) * size)
    const decoded = createFrame(width, height, unpackRgb(raw, layout, width, height), layout.bits, path)
    return { ...decoded, ...plan.levels, warnings }
  })
}

/**
 * Where decoding begins. In a transport stream a jump ends at the next key frame, wherever that is: so many seconds
 * before the place what follows is decoded. Cameras set a key frame every half second or two (common practice, no
 * source). A stream without container has no times to jump to. All others have an index, by which a place is found to the
 * frame.
 */
function jumpTo(place: number, [, demuxer = '']: readonly string[]): number {
  if (demuxer === 'h264' || demuxer === 'hevc') return 0
  return demuxer === 'mpegts' ? Math.max(0, place - runUp) : place
}

const runUp = 10

/** A decoder goes on to the next frame that begins; the one on screen began up to a frame before. */
function seekPlace(seconds: number, { avg_frame_rate = '' }: Stream): number {
  const [frames, base] = avg_frame_rate.split('/').map(Number)
  const length = base! / frames!
  if (!(Number.isFinite(length) && length > 0)) return seconds
  // Containers round times to milliseconds: one that begins just then must not be taken for the one before.
  return Math.max(0, seconds - length + Math.min(0.0015, length / 4))
}
