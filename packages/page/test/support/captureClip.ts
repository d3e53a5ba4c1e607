import { mkdirSync } from 'node:fs'
import { dirname } from 'node:path'
import type { RenderedFrame } from '@isochip/synthetic'
import { consumerTool } from '../../../../test/support/consumerTool.ts'

/** How a clip's R′G′B′ is made into Y′CbCr: ffmpeg's names. */
export interface ClipForm {
  readonly matrix: 'bt709' | 'smpte170m' | 'bt2020nc'
  readonly range: 'limited' | 'full'
}

const ffmpeg = consumerTool('ffmpeg')

/** Frames a second where a test is about something else: each frame is searched, measured and drawn. */
const calm = 5

/**
 * A clip for Chromium's fake capture device, of frames as a camera would deliver them: Y′CbCr 4:2:0 of 8 bits, made by ffmpeg.
 *
 * @param rate frames a second that the device delivers
 */
export function captureClip(
  path: string,
  frames: readonly RenderedFrame[],
  form: ClipForm,
  rate = calm,
): void {
  const [{ width, height, bits }] = frames as readonly [RenderedFrame]
  mkdirSync(dirname(path), { recursive: true })
  const raw = Buffer.concat(
    frames.map(({ data }) => Buffer.from(data.buffer, data.byteOffset, data.byteLength)),
  )
  ffmpeg.run(
    [
      ...['-v', 'error', '-f', 'rawvideo', '-pixel_format', bits === 16 ? 'rgb48le' : 'rgb24'],
      ...['-video_size', `${width}x${height}`, '-framerate', String(rate), '-i', '-'],
      ...['-vf', `${toYcbcr(form)},format=yuv420p`, '-strict', '-1', '-y', path],
    ],
    raw,
  )
}

/** ffmpeg's colour bars by SMPTE RP 219, as planes of Y′CbCr or as such a clip. */
export function barsClip(
  form: ClipForm,
  { width, height, path }: { width: number; height: number; path?: string },
): Buffer {
  const source = `smptehdbars=size=${width}x${height}:rate=${calm},format=gbrp`
  return ffmpeg.run([
    ...['-v', 'error', '-f', 'lavfi', '-i', source, '-frames:v', '1'],
    ...['-vf', `${toYcbcr(form)},format=yuv420p`],
    ...(path === undefined ? ['-f', 'rawvideo', '-'] : ['-strict', '-1', '-y', path]),
  ])
}

const toYcbcr = ({ matrix, range }: ClipForm) =>
  `zscale=matrixin=gbr:rangein=full:matrix=${matrix === 'smpte170m' ? '170m' : matrix === 'bt2020nc' ? '2020_ncl' : '709'}:range=${range}`
