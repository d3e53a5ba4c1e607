import { mkdirSync, readFileSync, writeFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { consumerTool } from '../support/consumerTool.ts'

interface Shot {
  readonly frames: readonly string[]
}

/**
 * A large show with a clip in place of each frame: H.264 (ITU-T H.264, High 4:2:2 profile), ten bits, as many cameras
 * record. One frame long, since no more is decoded. Returns the path of the show file.
 */
export function writeMovieShow(show: string, folder: string): string {
  const ffmpeg = consumerTool('ffmpeg')
  const { cameras, ...rest } = JSON.parse(readFileSync(show, 'utf8')) as {
    cameras: readonly { readonly shots: readonly Shot[] }[]
  }
  const clipOf = (frame: string) => {
    const name = frame.replace(/png$/, 'mp4')
    mkdirSync(dirname(join(folder, name)), { recursive: true })
    ffmpeg.run([
      ...['-loglevel', 'error', '-i', join(dirname(show), frame), '-vf', 'zscale=matrix=709:range=limited'],
      ...['-c:v', 'libx264', '-preset', 'ultrafast', '-qp', '8', '-pix_fmt', 'yuv422p10le'],
      ...['-colorspace', 'bt709', '-color_range', 'tv', join(folder, name)],
    ])
    return name
  }
  const clips = cameras.map(({ shots, ...camera }) => ({
    ...camera,
    shots: shots.map((shot) => ({ ...shot, frames: shot.frames.map(clipOf) })),
  }))
  const path = join(folder, 'show.json')
  writeFileSync(path, JSON.stringify({ ...rest, cameras: clips }, undefined, 1))
  return path
}
