import { isIsochipError } from '@isochip/core'
import { matchShow } from '@isochip/show/node'
import { UnrecoverableError, Worker } from 'bullmq'
import { lostAfter, type MatchJob, type MatchResult, queueName, redisUrl } from './jobs.ts'

/*
 * A worker: takes one part of a show after the other. Start as many as there are machines.
 *
 * Delivery is at least once: a job whose worker died, or was not heard of for LOST_AFTER seconds, is done again by
 * another. That does no harm, since the same input gives the same bytes, and a file gets its name only when it is
 * whole. So a result is there once, however often it was computed.
 *
 *     REDIS_URL=redis://... node --import tsx/esm worker.ts
 */
const worker = new Worker<MatchJob, MatchResult>(
  queueName,
  async ({ data }, _, signal) => {
    const { show, folder, out } = data
    try {
      const result = await matchShow(show, { folder, out, ...(signal === undefined ? {} : { signal }) })
      return {
        within: result.within,
        matches: result.matches.length,
        failures: result.failures.map(({ code, message }) => `${code}: ${message}`),
      }
    } catch (cause) {
      // A chart that cannot be read will not be readable on the next machine: a human has to look at it.
      if (
        isIsochipError(cause) &&
        cause.code !== 'output-unwritable' &&
        cause.code !== 'output-busy' &&
        cause.code !== 'cancelled'
      )
        throw new UnrecoverableError(`${cause.code}: ${cause.message}`)
      throw cause
    }
  },
  {
    connection: { url: redisUrl, maxRetriesPerRequest: null },
    // One part uses all cores of a machine by itself.
    concurrency: 1,
    lockDuration: 1000 * lostAfter,
    stalledInterval: (1000 * lostAfter) / 2,
    // That a machine goes down is no fault of the job.
    maxStalledCount: 100,
  },
)
worker.on('active', ({ name }) => console.log(`takes ${name}`))
worker.on('completed', ({ name }, { matches }) => console.log(`done ${name}: ${matches} matches`))
worker.on('failed', (job, error) => console.error(`failed ${job?.name}: ${error.message}`))
// A worker without its queue has nothing to do but wait: the connection is tried again by itself.
worker.on('error', ({ message }) => console.error(`queue: ${message}`))

for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, () => void worker.close())
