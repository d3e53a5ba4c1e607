import { isIsochipError, type Warning } from '@isochip/core'
import type { LineUpReport } from '@isochip/report'
import type { LoadedShow } from '../load/loadShow.ts'
import { readLineUpFile } from './lineUpFile.ts'

/**
 * What the report of a show says of its line-up: the cameras of the show that were lined up, in its order. Rounds that cannot be
 * read are no reason not to match: they are told.
 */
export async function lineUpReport({
  file,
  folder,
  plan: { show },
}: LoadedShow): Promise<{ report?: LineUpReport; caution?: Warning }> {
  // A show that is no file has nothing beside it.
  if (file === undefined) return {}
  try {
    const kept = await readLineUpFile(folder)
    if (kept === undefined) return {}
    const cameras = show.cameras.flatMap(({ id }) => {
      const { past = [], rounds = [] } = kept.cameras.find(({ camera }) => camera === id) ?? {}
      const last = rounds.at(-1)
      if (last === undefined) return []
      const { withLut, expected } = last
      return [
        {
          camera: id,
          trend: [...past, ...rounds.map(({ now }) => now)].slice(-mostShots),
          withLut,
          expected,
        },
      ]
    })
    return cameras.length === 0 ? {} : { report: { setup: kept.setup, cameras } }
  } catch (cause) {
    if (!isIsochipError(cause)) throw cause
    const { code, message, place } = cause
    return {
      caution: {
        code: 'lineup-left-out',
        message: `the report says nothing of the line-up (${code}): ${message}`,
        place,
      },
    }
  }
}

/** More shots of a camera than these nobody reads in a row. */
const mostShots = 16
