import { isIsochipError } from '@isochip/core'
import { runTool } from '../runTool.ts'

/**
 * Which ffmpeg decodes footage here: its first line about itself, by which one release is told from another.
 * `undefined` where there is none.
 *
 * @param ffmpeg program; default `ffmpeg` from the PATH
 */
export async function footageVersion(ffmpeg = 'ffmpeg'): Promise<string | undefined> {
  try {
    const { stdout } = await runTool(ffmpeg, ['-version'], { file: ffmpeg, limit: 65536 })
    return stdout.toString('utf8').split('\n', 1)[0]
  } catch (cause) {
    if (isIsochipError(cause) && cause.code === 'tool-missing') return undefined
    throw cause
  }
}
