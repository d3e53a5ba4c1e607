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

/** At least two: one decodes the next frame while the other looks for a chart. One processor is left to the page. */
const most = Math.min(4, Math.max(2, (globalThis.navigator?.hardwareConcurrency ?? 2) - 1))

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
  /** The source that each has decoded last. */
  const decoded = new WeakMap<Worker, number>()
  const takeIdle = (source: number | undefined): Worker | undefined => {
    const knows = source === undefined ? -1 : idle.findIndex((one) => decoded.get(one) === source)
    return knows < 0 ? idle.pop() : idle.splice(knows, 1)[0]
  }
  const begin = () => {
    while (made < most) idle.push(make())
  }
  const start = () => {
    while (waiting.length > 0) {
      const { ask } = waiting[0]!
      const source = ask.kind === 'read' ? ask.sourceNumber : undefined
      const worker = takeIdle(source) ?? (made < most ? make() : undefined)
      if (worker === undefined) return
      const job = waiting.shift()!
      if (source !== undefined) decoded.set(worker, source)
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
      if (idle.includes(worker)) idle.splice(idle.indexOf(worker), 1)
      free(worker, { id: -1, failure: { message: message || 'this was too much for the browser' } })
      start()
    })
    return worker
  }
  const enqueue = (job: Job, first: boolean) => {
    if (first) waiting.unshift(job)
    else waiting.push(job)
    start()
  }
  return { begin, enqueue, untouched: () => next === 0 }
}

const { begin, enqueue, untouched } = pool()

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

/** Milliseconds in which nobody has given the page anything to do. */
const quiet = 3000

/** Loads the workers, before there is anything for them to do; where that takes its time, they rehearse. */
export async function beginWorkers(): Promise<void> {
  begin()
  await new Promise((resolve) => setTimeout(resolve, quiet))
  if (!untouched()) return
  try {
    await Promise.all(Array.from({ length: most }, () => ask<'rehearse'>({ kind: 'rehearse' })))
  } catch {
    // Whatever it was, the first frames will tell it to somebody.
    return
  }
  document.body.dataset.workers = 'rehearsed'
}
