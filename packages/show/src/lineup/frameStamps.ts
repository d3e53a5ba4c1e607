import { stat } from 'node:fs/promises'
import type { Place } from '@isochip/core'
import { fromShow } from '../files/filePaths.ts'
import { expandFrames } from '../read/expandFrames.ts'
import type { FramesShot, ReadingsShot } from '../showFile/show.ts'

/**
 * The files of a shot as they now are: paths, sizes, times. Two equal answers some time apart mean that nobody is
 * writing. Undefined while there are none.
 */
export async function frameStamps(
  shot: FramesShot | ReadingsShot,
  folder: string,
  place: Place,
): Promise<string | undefined> {
  try {
    const paths =
      shot.kind === 'readings'
        ? [fromShow(folder, shot.readings)]
        : await expandFrames(shot.frames, folder, place)
    const stamps = await Promise.all(
      paths.map(async (path) => {
        const { size, mtimeMs, ino } = await stat(path)
        return `${path} ${size} ${mtimeMs} ${ino}`
      }),
    )
    return stamps.join('\n')
  } catch {
    // A file that is not there yet, or was taken away between two looks.
    return undefined
  }
}
