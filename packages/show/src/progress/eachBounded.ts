/**
 * Runs a task for every item, at most `limit` at once, and gives the results in the order of the items. The first
 * rejection is passed on after the tasks that run have ended; no further task is begun.
 */
export async function eachBounded<T, R>(
  items: readonly T[],
  limit: number,
  task: (item: T, index: number) => Promise<R>,
): Promise<R[]> {
  const results = new Array<R>(items.length)
  let next = 0
  let failed = false
  const lane = async () => {
    while (next < items.length && !failed) {
      const index = next++
      try {
        results[index] = await task(items[index]!, index)
      } catch (cause) {
        failed = true
        throw cause
      }
    }
  }
  const lanes = await Promise.allSettled(Array.from({ length: Math.min(limit, items.length) }, lane))
  for (const one of lanes) if (one.status === 'rejected') throw one.reason
  return results
}
