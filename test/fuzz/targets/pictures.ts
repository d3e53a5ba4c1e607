import { spawnSync } from 'node:child_process'
import { readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { builtinChart } from '@isochip/core'
import { type Corners, createFrame, type Frame, sampleChart } from '@isochip/frames'
import { colourTags, decodeFootage, decodeFrame, encodeFrame } from '@isochip/frames/node'
import { dngBytes } from '../../support/dngBytes.ts'
import type { Target } from '../target.ts'
import { fileBytes } from './samples.ts'

const fixtures = ['packages', 'frames', 'test', 'fixtures']

/** Frames of a few pixels, of every kind that is read. */
export async function stills(): Promise<Uint8Array[]> {
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
  ['-c:v', 'libx264', '-pix_fmt', 'yuv420p', 'a.h264'],
  ['-c:v', 'libx265', '-pix_fmt', 'yuv420p', '-x265-params', 'log-level=none', 'a.hevc'],
  ['-pix_fmt', 'yuv420p', 'a.y4m'],
  ['-c:v', 'mpeg2video', '-pix_fmt', 'yuv422p', 'a.mxf'],
  ['-frames:v', '1', '-pix_fmt', 'gbrpf32le', 'a.exr'],
]

/** By ffmpeg, each by its options and its name; none where there is no ffmpeg. */
function made(folder: string, size: string, files: readonly (readonly string[])[]): Uint8Array[] {
  return files.flatMap((rest) => {
    const path = join(folder, rest.at(-1)!)
    const source = ['-f', 'lavfi', '-i', `testsrc=size=${size}:rate=25`, '-frames:v', '5']
    const options = ['-y', '-nostdin', '-loglevel', 'error', ...source, ...rest.slice(0, -1), path]
    return spawnSync('ffmpeg', options).status === 0 ? [readFileSync(path)] : []
  })
}

/** Clips of five small frames. */
const footage = (folder: string): Promise<Uint8Array[]> => Promise.resolve(made(folder, '48x32', clips))

const others: readonly (readonly string[])[] = [
  ['-pix_fmt', 'bgr24', 'a.bmp'],
  ['-pix_fmt', 'bgra', 'b.bmp'],
  ['-pix_fmt', 'bgr24', 'a.tga'],
  ['-pix_fmt', 'gray', '-rle', '1', 'b.tga'],
  ['-pix_fmt', 'rgb24', 'a.ppm'],
  ['-pix_fmt', 'rgb48be', 'b.ppm'],
  ['-pix_fmt', 'gray16be', 'a.pgm'],
  ['-pix_fmt', 'monowhite', 'a.pbm'],
  ['-pix_fmt', 'rgba', 'a.pam'],
]

/** Pictures that are read from a path alone. */
const picturesByPath = async (folder: string): Promise<Uint8Array[]> => [
  ...made(
    folder,
    '24x16',
    others.map((rest) => ['-frames:v', '1', ...rest]),
  ),
  // As text: a head, then numbers.
  Buffer.from(`P3\n# a comment\n2 2\n255\n${'1 2 3 '.repeat(4)}\n`),
  Buffer.from(`P2 3 1 65535 0 40000 65535\n`),
]

const dngs = (): Promise<Uint8Array[]> =>
  Promise.resolve(
    [false, true].map((bigEndian) =>
      dngBytes({
        width: 48,
        height: 32,
        code: (x, y) => 256 + ((x * 61 + y * 97) % 3000),
        black: 256,
        white: 4095,
        bigEndian,
      }),
    ),
  )

/** Whatever was decoded is as large as it says; a chart over all of it is read in numbers, or not at all. */
export function worked(frame: Frame): unknown {
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
  byPath('picture of another kind', picturesByPath),
  byPath('camera raw', dngs),
]

function byPath(name: string, samples: Target['samples']): Target {
  return {
    name,
    kind: 'binary',
    samples,
    megabytes: 3000,
    share: 0.5,
    run: async (bytes, folder) => {
      const path = join(folder, 'a.bin')
      writeFileSync(path, bytes)
      return worked(await decodeFrame(path))
    },
  }
}
