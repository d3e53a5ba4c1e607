import { defaultClippedShare } from '@isochip/core'
import { matchSetup, type SetupMatch, type SetupReadings } from '../fit/matchSetup.ts'
import type { LoadedShow } from '../load/loadShow.ts'
import { shotPlace } from '../load/shotPlace.ts'
import { type BakedFormats, bakeFormats } from '../lut/bakeFormats.ts'
import type { Memo } from '../memo/memo.ts'
import type { PageBudget } from '../pictures/pageBudget.ts'
import { type ShotPictures, shotPictures } from '../pictures/shotPictures.ts'
import type { PictureSource } from '../pictures/takePicture.ts'
import type { FileMemory } from '../read/fileMemory.ts'
import { readShot, type ShotReadings } from '../read/readShot.ts'
import { type ErrorData, errorData } from './errorData.ts'

/** What every task needs to know of the show. */
export interface TaskContext {
  readonly loaded: LoadedShow
  readonly memo: Memo
  /** Of the thread. */
  readonly memory: FileMemory
  readonly signal?: AbortSignal
}

export interface ReadTask {
  /** Places of the camera in the show, and of the shot at the camera. */
  readonly camera: number
  readonly shot: number
  readonly keepFrame: boolean
}

export interface FitTask {
  readonly setup: string
  readonly shots: readonly SetupReadings[]
}

export interface FitResult {
  readonly matches: readonly SetupMatch[]
  readonly failures: readonly ErrorData[]
}

export interface BakeTask {
  readonly one: SetupMatch
  /** Where pictures are to be drawn. */
  readonly picture?: PictureSource
  /** Pictures for the report too? */
  readonly budget?: PageBudget
}

export interface BakeResult extends BakedFormats {
  readonly pictures?: ShotPictures
}

/**
 * The heavy work of a show, in pieces that know nothing of each other: what goes in and out is plain data, and the
 * same in whatever thread it is done.
 */
export const tasks = {
  /** Decodes the frames of a shot and samples the chart. @throws IsochipError as `readShot` */
  async read({ loaded, memo, memory, signal }: TaskContext, task: ReadTask): Promise<ShotReadings> {
    const { plan, folder } = loaded
    const camera = plan.show.cameras[task.camera]!
    const shot = camera.shots[task.shot]!
    if (shot.kind === 'borrowed') throw new Error('a borrowed shot has nothing to be read')
    return await readShot(shot, {
      chart: plan.chart,
      encoding: plan.encodings.get(camera.id)!,
      camera: camera.id,
      ...(camera.ycbcr === undefined ? {} : { ycbcr: camera.ycbcr }),
      folder,
      place: shotPlace(loaded, task.camera, task.shot),
      keepFrame: task.keepFrame,
      memory,
      memo,
      ...(signal === undefined ? {} : { signal }),
    })
  },

  /** Fits all cameras of a setup. */
  async fit({ loaded }: TaskContext, { setup, shots }: FitTask): Promise<FitResult> {
    const { matches, failures } = matchSetup(loaded.plan, setup, shots)
    return { matches, failures: failures.map((one) => errorData(one)) }
  },

  /** Bakes the LUTs of a match and draws its pictures. @throws IsochipError as `shotPictures` */
  async bake({ loaded }: TaskContext, { one, picture, budget }: BakeTask): Promise<BakeResult> {
    const { plan } = loaded
    const baked = bakeFormats(plan, one)
    if (picture === undefined) return baked
    const { working, show } = plan
    const pictures = await shotPictures(picture, one, {
      working,
      clippedShare: show.fit.clippedShare ?? defaultClippedShare,
      ...(budget === undefined ? {} : { budget }),
    })
    return { ...baked, pictures }
  },
} as const

type Tasks = typeof tasks
export type TaskName = keyof Tasks
export type TaskInput<K extends TaskName> = Parameters<Tasks[K]>[1]
export type TaskOutput<K extends TaskName> = Awaited<ReturnType<Tasks[K]>>
