import { existsSync } from 'node:fs'
import { createRequire } from 'node:module'
import { availableParallelism } from 'node:os'
import { fileURLToPath, pathToFileURL } from 'node:url'
import { Tinypool } from 'tinypool'
import type { DiscardedEntry } from '../memo/memo.ts'
import { checkCancelled } from '../progress/checkCancelled.ts'
import { FileMemory } from '../read/fileMemory.ts'
import { errorOf } from './errorData.ts'
import { type TaskContext, type TaskInput, type TaskName, type TaskOutput, tasks } from './tasks.ts'
import type { Reply, WorkerSetUp } from './worker.ts'

/** Whoever does the heavy work of a show. Has to be ended. */
export interface WorkerPool {
  /** Tasks that are worth having under way at once. */
  readonly size: number
  /** @throws what the task throws; IsochipError `cancelled` */
  run<K extends TaskName>(name: K, task: TaskInput<K>): Promise<TaskOutput<K>>
  end(): Promise<void>
}

/** What the threads have in common. */
type PoolContext = Omit<TaskContext, 'memory'> & {
  readonly discarded: (entry: DiscardedEntry) => void
}

/** With fewer shots than this, the threads would take longer to start than the work takes. */
const worthThreads = 4
const mostThreads = 8

/**
 * @param workers worker threads; 0: this thread only. Default: one per processor core, at most 8; none for a handful of shots
 * @param shots that there are to be read at all
 */
export function startWorkers(context: PoolContext, shots: number, workers?: number): WorkerPool {
  const cores = availableParallelism()
  const usual = shots < worthThreads || cores < 2 ? 0 : Math.min(mostThreads, cores)
  // More threads than shots would have nothing to do.
  const threads = Math.min(workers ?? usual, shots)
  const file = threads === 0 ? undefined : workerFile()
  return file === undefined ? here(context) : inThreads(context, threads, file)
}

/** Everything in this thread, while decoders use others of their own. */
function here(context: PoolContext): WorkerPool {
  const equipped: TaskContext = { ...context, memory: new FileMemory() }
  return {
    size: 2,
    async run(name, task) {
      checkCancelled(context.signal)
      return (await tasks[name](equipped, task as never)) as never
    },
    end: () => Promise.resolve(),
  }
}

function inThreads(
  { loaded, memo, signal, discarded }: PoolContext,
  threads: number,
  { path, execArgv }: WorkerFile,
): WorkerPool {
  const workerData: WorkerSetUp = {
    loaded,
    ...(memo.folder === undefined ? {} : { cache: memo.folder }),
  }
  const tinypool = new Tinypool({
    filename: path,
    workerData,
    minThreads: 0,
    maxThreads: threads,
    // A thread that has nothing to do for a moment is not ended: another setup follows.
    idleTimeout: 60_000,
    // The next task is handed over while the last one is at work.
    concurrentTasksPerWorker: 1,
    ...(execArgv === undefined ? {} : { execArgv }),
  })
  return {
    size: threads + 1,
    async run<K extends TaskName>(name: K, task: TaskInput<K>): Promise<TaskOutput<K>> {
      checkCancelled(signal)
      let reply: Reply<K>
      try {
        reply = await tinypool.run({ name, task }, signal === undefined ? {} : { signal })
      } catch (cause) {
        // The thread is gone with what it did.
        checkCancelled(signal)
        throw cause
      }
      for (const entry of reply.discarded) discarded(entry)
      if ('error' in reply) {
        // A program that was ended along with this one is no fault of the input.
        checkCancelled(signal)
        throw errorOf(reply.error)
      }
      return reply.result
    },
    end: () => tinypool.destroy(),
  }
}

interface WorkerFile {
  readonly path: string
  readonly execArgv?: string[]
}

/** `undefined` where the package was bundled into another file, and the worker did not come along. */
function workerFile(): WorkerFile | undefined {
  const source = import.meta.url.endsWith('.ts')
  const path = fileURLToPath(new URL(source ? './worker.ts' : './worker.js', import.meta.url))
  if (!existsSync(path)) return undefined
  if (!source) return { path }
  // Run from its sources, as tests do: a thread does not inherit how TypeScript is read here.
  const tsx = createRequire(import.meta.url)
    .resolve('tsx/esm/api')
    .replace(/\.cjs$/, '.mjs')
  const start = `data:text/javascript,import { register } from '${pathToFileURL(tsx).href}'; register()`
  return { path, execArgv: ['--import', start, '-C', '@isochip/source'] }
}
