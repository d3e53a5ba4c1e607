import { resolve } from 'node:path'
import { IsochipError } from '@isochip/core'
import { hireCrew } from '../crew/crew.ts'
import { ContentCache } from '../files/contentCache.ts'
import { FileSums } from '../files/fileSums.ts'
import { setupNames } from '../match/matchReadings.ts'
import type { LoadedShow } from './loadShow.ts'
import { readSetup } from './readSetup.ts'
import type { ShotReadings } from './readShot.ts'
import type { ShowEvent } from './showEvent.ts'

export interface ReadShowOptions {
  /** Threads that read the frames; 0 for this one alone. Default: one a processor core, none for a handful of shots. */
  readonly workers?: number
  /** Folder in which readings are kept, so that another run reads only what has changed. Default none. */
  readonly cache?: string
  readonly signal?: AbortSignal
  /** `started`, `shot-read` and `shot-failed`, as they come. */
  readonly onEvent?: (event: ShowEvent) => void
}

/** What of a shot is needed to judge it: no frame stays in memory. */
export type Sheet = Pick<ShotReadings, 'camera' | 'setup' | 'readings' | 'bits' | 'warnings'>

export interface ShowSheets {
  /** By setup, in the order of the show. */
  readonly sheets: ReadonlyMap<string, readonly Sheet[]>
  /** Cameras that could not be read, and why. */
  readonly failures: readonly IsochipError[]
}

/** Reads all charts of a show. @throws IsochipError `cancelled` */
export async function readShow(loaded: LoadedShow, options: ReadShowOptions): Promise<ShowSheets> {
  const { signal, workers, onEvent: tell = () => undefined } = options
  const { show } = loaded.plan
  const shots = show.cameras.flatMap((camera) =>
    camera.shots.filter(({ kind }) => kind !== 'borrowed'),
  ).length
  const cache = options.cache === undefined ? undefined : new ContentCache(options.cache)
  const kept = cache && { cache, sums: await FileSums.open(cache, resolve(loaded.folder)) }
  const crew = hireCrew(
    { loaded, ...(cache === undefined ? {} : { cache }), ...(signal === undefined ? {} : { signal }) },
    shots,
    workers,
  )
  const setups = setupNames(show)
  tell({ type: 'started', shots, setups: setups.length, matches: 0 })
  const failures: IsochipError[] = []
  const sheets = new Map<string, readonly Sheet[]>()
  let done = 0
  try {
    for (const setup of setups) {
      const read = await readSetup(
        loaded,
        setup,
        { crew, ...(kept === undefined ? {} : { kept }) },
        (result) => {
          done++
          if (result instanceof IsochipError) {
            failures.push(result)
            tell({ type: 'shot-failed', error: result, done, shots })
          } else {
            const { camera, cached } = result
            tell({ type: 'shot-read', camera, setup, cached, done, shots })
          }
        },
      )
      sheets.set(
        setup,
        read.map(({ camera, readings, bits, warnings }) => ({ camera, setup, readings, bits, warnings })),
      )
    }
  } finally {
    await crew.end()
    await kept?.sums.save()
    await cache?.prune()
  }
  return { sheets, failures }
}
