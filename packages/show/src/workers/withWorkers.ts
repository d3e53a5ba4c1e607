import { resolve } from 'node:path'
import type { LoadedShow } from '../load/loadShow.ts'
import { FileSums } from '../memo/fileSums.ts'
import { type DiscardedEntry, Memo } from '../memo/memo.ts'
import type { ShowEvent } from '../progress/showEvent.ts'
import { startWorkers, type WorkerPool } from './workerPool.ts'

export interface WorkerOptions {
  /**
   * Worker threads that decode, fit, bake and draw; 0: main thread only. The result is the same. Default: one per
   * processor core, at most 8, and none for a handful of shots.
   */
  readonly workers?: number
  /**
   * Folder in which readings and matches are kept by the content of their files, so that another run, also after one
   * that was ended, does only what has changed. Default none.
   */
  readonly cache?: string
  /** Ends the work; nothing is written then. */
  readonly signal?: AbortSignal
  /** What happens, as it happens; where nothing is matched, only that charts are read. */
  readonly onEvent?: (event: ShowEvent) => void
}

/** Who works on a show, and what earlier runs left. */
export interface Equipped {
  readonly pool: WorkerPool
  /** What earlier runs read and made. */
  readonly memo: Memo
  /** The checksums of the files as earlier runs know them. */
  readonly sums: FileSums
}

/**
 * Does some work on a show with a pool and, where there is one, the cache; and puts both away afterwards, also of work
 * that was ended: the frames that it has read need not be read again.
 *
 * @param out folder whose files are remembered as well, where some are written
 */
export async function withWorkers<T>(
  loaded: LoadedShow,
  { workers, cache, signal, onEvent: tell = () => undefined }: WorkerOptions,
  out: string | undefined,
  work: (equipped: Equipped) => Promise<T>,
): Promise<T> {
  const discarded = (entry: DiscardedEntry) => tell({ type: 'entry-discarded', ...entry })
  const memo = new Memo(cache, discarded)
  const of = [loaded.folder, ...(out === undefined ? [] : [out])].map((path) => resolve(path)).join('\n')
  const sums = await FileSums.open(memo, of)
  const pool = startWorkers(
    { loaded, memo, discarded, ...(signal === undefined ? {} : { signal }) },
    loaded.plan.show.cameras.flatMap(({ shots }) => shots).length,
    workers,
  )
  try {
    return await work({ pool, memo, sums })
  } finally {
    await pool.end()
    await sums.save()
    await memo.prune()
  }
}
