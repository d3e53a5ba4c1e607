import { spawnSync } from 'node:child_process'
import { readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { builtinChart } from '@isochip/core'
import { type Corners, createFrame, type Frame, sampleChart } from '@isochip/frames'
import { colourTags, decodeFootage, decodeFrame, encodeFrame } from '@isochip/frames/node'
import type { Target } from '../target.ts'
import { fileBytes } from './samples.ts'

const fixtures = ['packages', 'frames', 'test', 'fixtures']

/** Frames of a few pixels, of every kind that is read. */
async function stills(): Promise<Uint8Array[]> {
  const names = readdirSync(new URL('../../../packages/frames/test/fixtures', import.meta.url))
  const kept = names.filter((name) => /\.(png|tif)$/.test(name)).map((name) => fileBytes(...fixtures, name))
  const data = Uint8Array.from({ length: 3 * 24 * 16 }, (_, i) => (i * 7) % 256)
  const small = createFrame(24, 16, data, 8)
  const made = await Promise.all((['png', 'tiff'] as const).map((format) => encodeFrame(small, { format })))
  const others = ['mjpeg', 'libwebp'].flatMap(byFfmpeg)
  return [...kept, ...made, ...others]
}

/** What we do not write ourselves, by ffmpeg where there is one. */
function byFfmpeg(codec: string): Uint8Array[] {
  const source = ['-f', 'lavfi', '-i', 'testsrc=size=24x16', '-frames:v', '1']
  const { status, stdout } = spawnSync('ffmpeg', [
    ...['-nostdin', '-loglevel', 'error', ...source],
    ...['-c:v', codec, '-f', 'image2pipe', 'pipe:1'],
  ])
  return status === 0 ? [stdout] : []
}

const clips: readonly (readonly string[])[] = [
  ['-pix_fmt', 'yuv420p', '-c:v', 'mpeg4', 'a.mp4'],
  ['-c:v', 'rawvideo', '-pix_fmt', 'bgr24', 'a.avi'],
  ['-c:v', 'ffv1', '-pix_fmt', 'gbrp', 'a.mkv'],
  ['-c:v', 'mpeg2video', '-pix_fmt', 'yuv420p', '-f', 'mpegts', 'a.ts'],
  ['-frames:v', '1', '-pix_fmt', 'gbrp10be', 'a.dpx'],
  ['-frames:v', '1', '-pix_fmt', 'gbrpf32le', 'a.exr'],
]

/** Clips of five small frames; none where there is no ffmpeg. */
async function footage(folder: string): Promise<Uint8Array[]> {
  return clips.flatMap((rest) => {
    const path = join(folder, rest.at(-1)!)
    const source = ['-f', 'lavfi', '-i', 'testsrc=size=48x32:rate=25', '-frames:v', '5']
    const { status } = spawnSync('ffmpeg', [
      '-y',
      '-nostdin',
      '-loglevel',
      'error',
      ...source,
      ...rest.slice(0, -1),
      path,
    ])
    return status === 0 ? [readFileSync(path)] : []
  })
}

/** Whatever was decoded is as large as it says; a chart over all of it is read in numbers, or not at all. */
function worked(frame: Frame): unknown {
  const { width, height, data } = frame
  if (data.length !== 3 * width * height)
    throw new Error(`${data.length} samples for ${width} × ${height} pixels`)
  if (width < 24 || height < 16 || width * height > 1e6) return undefined
  const corners: Corners = [
    [0, 0],
    [width, 0],
    [width, height],
    [0, height],
  ]
  return sampleChart({ frames: [frame], chart: builtinChart('chart24'), corners, range: 'full' })
}

export const pictureTargets: readonly Target[] = [
  {
    name: 'still',
    kind: 'binary',
    samples: stills,
    megabytes: 3000,
    share: 2,
    run: async (bytes) => worked(await decodeFrame(bytes, { file: 'a.png' })),
  },
  {
    name: 'tags of a still',
    kind: 'binary',
    samples: stills,
    run: async (bytes, folder) => {
      const path = join(folder, 'a.png')
      writeFileSync(path, bytes)
      return await colourTags(path)
    },
  },
  {
    name: 'footage',
    kind: 'binary',
    samples: footage,
    megabytes: 3000,
    share: 0.3,
    run: async (bytes, folder) => {
      const path = join(folder, 'a.mov')
      writeFileSync(path, bytes)
      const frames = await decodeFootage(path, { count: 2 })
      await colourTags(path)
      return frames.map(worked)
    },
  },
]
