import { IsochipError } from '@isochip/core'
import type { InputFile } from '@isochip/report'
import { Tinypool } from 'tinypool'
import { type PlanParts, planShow } from '../load/planShow.ts'
import { ContentCache } from '../memo/contentCache.ts'
import { FileMemory } from '../read/fileMemory.ts'
import type { Show } from '../showFile/show.ts'
import { type ErrorData, errorData } from './errorData.ts'
import { type TaskContext, type TaskInput, type TaskName, type TaskOutput, tasks } from './tasks.ts'

/** What a thread is told when it starts. */
export interface WorkerSetUp {
  readonly show: Show
  readonly folder: string
  readonly file?: string
  readonly inputs: readonly InputFile[]
  readonly parts: PlanParts
  /** Folder of the cache. */
  readonly cache?: string
}

export type Reply<K extends TaskName> = { readonly result: TaskOutput<K> } | { readonly error: ErrorData }

function contextOf({ show, folder, file, inputs, parts, cache }: WorkerSetUp): TaskContext {
  const plan = planShow(show, parts)
  return {
    loaded: { plan, folder, inputs, parts, ...(file === undefined ? {} : { file }) },
    memory: new FileMemory(),
    ...(cache === undefined ? {} : { cache: new ContentCache(cache) }),
  }
}

let context: TaskContext | undefined

/** A worker thread: does one task. */
export default async function work<K extends TaskName>({
  name,
  task,
}: {
  name: K
  task: TaskInput<K>
}): Promise<Reply<K>> {
  context ??= contextOf(Tinypool.workerData as WorkerSetUp)
  try {
    return { result: (await tasks[name](context, task as never)) as TaskOutput<K> }
  } catch (cause) {
    if (cause instanceof IsochipError) return { error: errorData(cause) }
    throw cause
  }
}
