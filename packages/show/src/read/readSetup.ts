import { given, type IsochipError, isIsochipError } from '@isochip/core'
import type { LoadedShow } from '../load/loadShow.ts'
import { shotPlace } from '../load/shotPlace.ts'
import { eachBounded } from '../progress/eachBounded.ts'
import type { Equipped } from '../workers/withWorkers.ts'
import { keptShot, type ShotReadings } from './readShot.ts'

export interface ReadSetupOptions extends Equipped {
  /** Keep the frames, reduced, for pictures to be drawn? */
  readonly keepFrames?: boolean
}

/** With more shots than this their frames together would be too much to keep, so they are decoded again. */
const mostKept = 16

/** Reads the charts of one setup, several at once. */
export async function readSetup(
  loaded: LoadedShow,
  setup: string,
  { pool, memo, sums, keepFrames = false }: ReadSetupOptions,
  ended: (result: ShotReadings | IsochipError) => void,
): Promise<ShotReadings[]> {
  const { plan, folder } = loaded
  const shots = plan.show.cameras.flatMap((camera, cameraIndex) =>
    camera.shots.flatMap((shot, shotIndex) =>
      shot.setup !== setup || shot.kind === 'borrowed' ? [] : [{ camera, shot, cameraIndex, shotIndex }],
    ),
  )
  const keepFrame = keepFrames && shots.length <= mostKept
  const results = await eachBounded(shots, pool.size, async ({ camera, shot, cameraIndex, shotIndex }) => {
    try {
      const known =
        memo.folder === undefined || shot.kind === 'readings'
          ? undefined
          : await keptShot(
              shot,
              {
                chart: plan.chart,
                encoding: plan.encodings.get(camera.id)!,
                camera: camera.id,
                ...given({ ycbcr: camera.ycbcr }),
                folder,
                place: shotPlace(loaded, cameraIndex, shotIndex),
                memo,
              },
              sums,
            )
      const read = known ?? (await pool.run('read', { camera: cameraIndex, shot: shotIndex, keepFrame }))
      for (const { path, stamp, sha256, at } of read.seen) sums.note(path, stamp, sha256, at)
      ended(read)
      return [read]
    } catch (cause) {
      if (!isIsochipError(cause) || cause.code === 'cancelled') throw cause
      ended(cause)
      return []
    }
  })
  return results.flat()
}
