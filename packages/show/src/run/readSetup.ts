import { availableParallelism } from 'node:os'
import { IsochipError, type Place } from '@isochip/core'
import { ContentCache } from '../files/contentCache.ts'
import { checkCancelled } from './checkCancelled.ts'
import { eachBounded } from './eachBounded.ts'
import type { LoadedShow } from './loadShow.ts'
import { readShot, type ShotReadings } from './readShot.ts'

export interface ReadSetupOptions {
  /** Shots that are read at once. Default: one a processor core, at most 8. */
  readonly concurrency?: number
  /** Folder in which readings and pictures are kept, so that another run does only what has changed. */
  readonly cache?: string
  readonly signal?: AbortSignal
}

/** Reads the charts of one setup, several at once. */
export async function readSetup(
  { plan, folder, file }: LoadedShow,
  setup: string,
  options: ReadSetupOptions,
  ended: (result: ShotReadings | IsochipError) => void,
): Promise<ShotReadings[]> {
  const { show, chart, encodings } = plan
  const tasks = show.cameras.flatMap((camera, cameraIndex) =>
    camera.shots.flatMap((shot, shotIndex) => {
      if (shot.setup !== setup || shot.kind === 'borrowed') return []
      const at = show.places?.[`cameras[${cameraIndex}].shots[${shotIndex}]`]
      const place: Place = { ...(file === undefined ? {} : { file }), ...at }
      return [{ camera: camera.id, shot, place }]
    }),
  )
  const limit = options.concurrency ?? Math.min(8, availableParallelism())
  const cache = options.cache === undefined ? undefined : new ContentCache(options.cache)
  const results = await eachBounded(tasks, limit, async ({ camera, shot, place }) => {
    checkCancelled(options.signal)
    try {
      const read = await readShot(shot, {
        chart,
        encoding: encodings.get(camera)!,
        camera,
        folder,
        place,
        ...(cache === undefined ? {} : { cache }),
        ...(options.signal === undefined ? {} : { signal: options.signal }),
      })
      ended(read)
      return [read]
    } catch (cause) {
      if (!(cause instanceof IsochipError) || cause.code === 'cancelled') throw cause
      ended(cause)
      return []
    }
  })
  return results.flat()
}
