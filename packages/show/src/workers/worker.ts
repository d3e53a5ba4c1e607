import { Tinypool } from 'tinypool'
import type { LoadedShow } from '../load/loadShow.ts'
import { type DiscardedEntry, Memo } from '../memo/memo.ts'
import { FileMemory } from '../read/fileMemory.ts'
import { type ErrorData, errorData } from './errorData.ts'
import { type TaskContext, type TaskInput, type TaskName, type TaskOutput, tasks } from './tasks.ts'

/** What a thread is told when it starts. */
export interface WorkerSetUp {
  readonly loaded: LoadedShow
  /** Folder of the cache. */
  readonly cache?: string
}

export type Reply<K extends TaskName> = (
  | { readonly result: TaskOutput<K> }
  | { readonly error: ErrorData }
) & {
  /** Kept entries that the task found to be wrong. */
  readonly discarded: readonly DiscardedEntry[]
}

const contextOf = ({ loaded, cache }: WorkerSetUp): TaskContext => ({
  loaded,
  memory: new FileMemory(),
  memo: new Memo(cache, (entry) => discarded.push(entry)),
})

let context: TaskContext | undefined
/** A thread has one task at a time. */
let discarded: DiscardedEntry[] = []

/** A worker thread: does one task. */
export default async function work<K extends TaskName>({
  name,
  task,
}: {
  name: K
  task: TaskInput<K>
}): Promise<Reply<K>> {
  context ??= contextOf(Tinypool.workerData as WorkerSetUp)
  discarded = []
  try {
    return { result: (await tasks[name](context, task as never)) as TaskOutput<K>, discarded }
  } catch (cause) {
    return { error: errorData(cause), discarded }
  }
}
