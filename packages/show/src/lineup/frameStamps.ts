import { stat } from 'node:fs/promises'
import type { Place } from '@isochip/core'
import { fromShow } from '../files/filePaths.ts'
import { expandFrames } from '../read/expandFrames.ts'
import type { FramesShot, ReadingsShot } from '../showFile/show.ts'

/** The files of a shot as they now are. */
export interface FrameStamps {
  /** Paths, sizes, times. Two equal ones some time apart mean that nobody is writing. */
  readonly stamp: string
  /** When the last of them was written, in milliseconds since 1970. */
  readonly written: number
}

/** Undefined while there are none. */
export async function frameStamps(
  shot: FramesShot | ReadingsShot,
  folder: string,
  place: Place,
): Promise<FrameStamps | undefined> {
  try {
    const paths =
      shot.kind === 'readings'
        ? [fromShow(folder, shot.readings)]
        : await expandFrames(shot.frames, folder, place)
    const found = await Promise.all(paths.map(async (path) => ({ path, ...(await stat(path)) })))
    return {
      stamp: found.map(({ path, size, mtimeMs, ino }) => `${path} ${size} ${mtimeMs} ${ino}`).join('\n'),
      written: Math.max(...found.map(({ mtimeMs }) => mtimeMs)),
    }
  } catch {
    // A file that is not there yet, or was taken away between two looks.
    return undefined
  }
}
