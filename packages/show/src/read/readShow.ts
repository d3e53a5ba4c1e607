import { type IsochipError, isIsochipError } from '@isochip/core'
import { chartedShots, setupNames } from '../fit/matchReadings.ts'
import type { LoadedShow } from '../load/loadShow.ts'
import { ReadingProgress } from '../progress/readingProgress.ts'
import { type WorkerOptions, withWorkers } from '../workers/withWorkers.ts'
import { readSetup } from './readSetup.ts'
import type { ShotReadings } from './readShot.ts'

export type ReadShowOptions = WorkerOptions

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
  const { onEvent: tell = () => undefined } = options
  const { show } = loaded.plan
  const shots = chartedShots(show)
  const setups = setupNames(show)
  const failures: IsochipError[] = []
  const sheets = new Map<string, readonly Sheet[]>()
  const progress = new ReadingProgress(shots, tell)
  tell({ type: 'started', shots, setups: setups.length, matches: 0 })
  await withWorkers(loaded, options, undefined, async (equipped) => {
    for (const setup of setups) {
      const read = await readSetup(loaded, setup, equipped, (result) => {
        if (isIsochipError(result)) failures.push(result)
        progress.ended(setup, result)
      })
      sheets.set(
        setup,
        read.map(({ camera, readings, bits, warnings }) => ({ camera, setup, readings, bits, warnings })),
      )
    }
  })
  return { sheets, failures }
}
