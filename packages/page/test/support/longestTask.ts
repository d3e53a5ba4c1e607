import type { Browser, OpenPage } from '../../../report/test/support/openPage.ts'

interface TraceEvent {
  readonly name: string
  readonly pid: number
  readonly tid: number
  /** Processor time in µs. */
  readonly tdur?: number
  readonly args: { readonly name?: string }
}

/**
 * Longest time in ms that the page's own thread worked without a break: processor time, so that a busy machine tells the same.
 *
 * @throws Error where no task at all was seen, which would be no finding
 */
export async function longestTask(
  browser: Browser,
  page: OpenPage['page'],
  work: () => Promise<unknown>,
): Promise<number> {
  await browser.startTracing(page, { categories: ['toplevel'] })
  await work()
  // The task that told of its end has to come to it.
  await page.evaluate('0')
  const { traceEvents } = JSON.parse((await browser.stopTracing()).toString()) as {
    traceEvents: readonly TraceEvent[]
  }
  const threads = new Set(
    traceEvents
      .filter(({ name, args }) => name === 'thread_name' && args.name === 'CrRendererMain')
      .map(({ pid, tid }) => `${pid} ${tid}`),
  )
  const tasks = traceEvents.filter(
    ({ name, pid, tid, tdur }) => /RunTask$/.test(name) && tdur !== undefined && threads.has(`${pid} ${tid}`),
  )
  if (tasks.length === 0) throw new Error('no task was seen')
  return Math.max(...tasks.map(({ tdur }) => tdur!)) / 1000
}
