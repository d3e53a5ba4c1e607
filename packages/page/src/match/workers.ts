import type { Answers, Ask, Failure, Outcome, Told } from './messages.ts'

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
  settle(outcome: Outcome): void
}

/** At least two: one decodes the next frame while the other looks for a chart. One processor is left to the page. */
const most = Math.min(4, Math.max(2, (globalThis.navigator?.hardwareConcurrency ?? 2) - 1))

/** What a verdict waits for. */
const urgent: readonly Ask['kind'][] = ['read', 'match']
/** What is only looked at waits for verdicts, also for those that may follow within so many milliseconds. */
const onlyLookedAt: readonly Ask['kind'][] = ['preview', 'scopes']
const pause = 80
/** A worker that cannot be loaded is tried again after so many milliseconds, and given up after so many tries in a row. */
const retry = { after: 500, most: 4 }

/**
 * Workers that take one job after the other, the last asked first where it can wait no longer: a moved corner comes before
 * a hundred frames that are still to be read.
 */
function pool() {
  const waiting: Job[] = []
  const idle: Worker[] = []
  const busy = new Map<Worker, Job>()
  let made = 0
  /** Loads in a row that came to nothing. */
  let failed = 0
  let loadAfter = 0
  let heldUntil = 0
  /** Has anybody asked for anything? */
  let asked = false
  /** The source that each has decoded last. */
  const decoded = new WeakMap<Worker, number>()
  const begin = () => {
    while (made < most) make()
  }
  const startIn = (wait: number) => setTimeout(start, wait)
  const takeNext = (): Job | undefined => {
    const isUrgent = ({ ask }: Job) => urgent.includes(ask.kind)
    const held = performance.now() < heldUntil || [...waiting, ...busy.values()].some(isUrgent)
    const at = waiting.findIndex(({ ask }) => !held || !onlyLookedAt.includes(ask.kind))
    return at < 0 ? undefined : waiting.splice(at, 1)[0]
  }
  const takeIdle = ({ kind }: Ask, source: number | undefined): Worker => {
    // Each in turn.
    if (kind === 'rehearse') return idle.shift()!
    const knows = source === undefined ? -1 : idle.findIndex((one) => decoded.get(one) === source)
    return knows < 0 ? idle.pop()! : idle.splice(knows, 1)[0]!
  }
  const start = () => {
    while (idle.length > 0) {
      const job = takeNext()
      if (job === undefined) return
      const source = job.ask.kind === 'read' ? job.ask.sourceNumber : undefined
      const worker = takeIdle(job.ask, source)
      if (source !== undefined) decoded.set(worker, source)
      busy.set(worker, job)
      worker.postMessage(job.ask, job.transfer)
    }
    if (waiting.length > 0 && made < most && performance.now() >= loadAfter) make()
  }
  const free = (worker: Worker): Job | undefined => {
    const job = busy.get(worker)
    busy.delete(worker)
    if (job !== undefined && urgent.includes(job.ask.kind)) {
      heldUntil = performance.now() + pause
      startIn(pause + 1)
    }
    return job
  }
  const make = () => {
    made++
    const worker = new Worker(new URL('./worker/matchWorker.ts', import.meta.url), { type: 'module' })
    let here = false
    worker.addEventListener('message', ({ data }: MessageEvent<Told>) => {
      if ('ready' in data) {
        here = true
        failed = 0
      } else free(worker)?.settle(data)
      idle.push(worker)
      start()
    })
    worker.addEventListener('error', ({ message }) => {
      made--
      worker.terminate()
      if (idle.includes(worker)) idle.splice(idle.indexOf(worker), 1)
      // Out of memory, most likely: it is gone, and a new one does the next job.
      if (here) free(worker)?.settle({ failure: { message: message || 'this was too much for the browser' } })
      else missed()
      start()
    })
  }
  /** The network was gone in that moment: another worker takes the job, or the same one a little later. */
  const missed = () => {
    loadAfter = performance.now() + retry.after * ++failed
    if (failed < retry.most || made > 0) startIn(retry.after * failed + 1)
    else for (const { settle } of waiting.splice(0)) settle({ failure: unloaded })
  }
  const enqueue = (job: Job, first: boolean) => {
    if (job.ask.kind !== 'rehearse') asked = true
    if (first) waiting.unshift(job)
    else waiting.push(job)
    start()
  }
  return { begin, enqueue, untouched: () => !asked }
}

const unloaded: Failure = {
  message: 'the page cannot load the rest of itself: what served it no longer answers',
  hint: 'start isochip page again and reload this page',
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
        settle: (outcome) =>
          'value' in outcome ? resolve(outcome.value as Answers[K]) : reject(new WorkFailed(outcome.failure)),
      },
      first,
    )
  })
}

/** Milliseconds in which nobody has given the page anything to do. */
const quiet = 3000

/**
 * So often the browser's own compiler needs to see what reads and matches: a drop then takes two thirds of the processor time that it
 * takes after once, and more does not help.
 */
const rehearsals = 3

/** At the end of the page's address: whoever opens it many times, or for another purpose, spares the processors. */
const noRehearsal = '#no-rehearsal'

/** Loads the workers, before there is anything for them to do; where that takes its time, they rehearse. */
export async function beginWorkers(): Promise<void> {
  begin()
  if (location.hash === noRehearsal) return
  await new Promise((resolve) => setTimeout(resolve, quiet))
  try {
    // One after the other, so that whoever comes meanwhile finds a worker that has nothing to do.
    for (let i = 0; i < rehearsals * most && untouched(); i++) await ask<'rehearse'>({ kind: 'rehearse' })
  } catch {
    // Whatever it was, the first frames will tell it to somebody.
    return
  }
  document.body.dataset.workers = 'rehearsed'
}
