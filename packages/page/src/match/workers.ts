import type { Answers, Ask, Failure, Told } from './messages.ts'

/** What a worker could not do, in words for whoever asked. */
class WorkFailed extends Error {
  readonly hint: string | undefined
  constructor({ message, hint }: Failure) {
    super(message)
    this.hint = hint
  }
}

/** What went wrong, as the page shows it. */
export const failureOf = (cause: unknown): Failure => ({
  message: (cause as Error).message,
  ...(cause instanceof WorkFailed && cause.hint !== undefined ? { hint: cause.hint } : {}),
})

interface Job {
  readonly ask: Ask
  readonly transfer: Transferable[]
  settle(told: Told): void
}

/** Two: one decodes the next frame while the other looks for a chart. */
const most = 2

/**
 * Workers that take one job after the other, the last asked first where it can wait no longer: a moved corner comes before
 * a hundred frames that are still to be read.
 */
function pool() {
  const waiting: Job[] = []
  const idle: Worker[] = []
  const busy = new Map<Worker, { readonly id: number; readonly job: Job }>()
  let made = 0
  let next = 0
  const start = () => {
    while (waiting.length > 0) {
      const worker = idle.pop() ?? (made < most ? make() : undefined)
      if (worker === undefined) return
      const job = waiting.shift()!
      const id = next++
      busy.set(worker, { id, job })
      worker.postMessage({ id, ask: job.ask }, job.transfer)
    }
  }
  const free = (worker: Worker, told: Told) => {
    busy.get(worker)?.job.settle(told)
    busy.delete(worker)
  }
  const make = () => {
    made++
    const worker = new Worker(new URL('./worker/matchWorker.ts', import.meta.url), { type: 'module' })
    worker.addEventListener('message', ({ data }: MessageEvent<Told>) => {
      free(worker, data)
      idle.push(worker)
      start()
    })
    worker.addEventListener('error', ({ message }) => {
      // Out of memory, most likely: it is gone, and a new one does the next job.
      made--
      worker.terminate()
      free(worker, { id: -1, failure: { message: message || 'this was too much for the browser' } })
      start()
    })
    return worker
  }
  return (job: Job, first: boolean) => {
    if (first) waiting.unshift(job)
    else waiting.push(job)
    start()
  }
}

const enqueue = pool()

/** @throws WorkFailed */
export function ask<K extends Ask['kind']>(
  request: Extract<Ask, { kind: K }>,
  { first = false, transfer = [] }: { first?: boolean; transfer?: Transferable[] } = {},
): Promise<Answers[K]> {
  return new Promise((resolve, reject) => {
    enqueue(
      {
        ask: request,
        transfer,
        settle: (told) =>
          'value' in told ? resolve(told.value as Answers[K]) : reject(new WorkFailed(told.failure)),
      },
      first,
    )
  })
}
