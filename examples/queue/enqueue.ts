import { createHash } from 'node:crypto'
import { join } from 'node:path'
import { splitShow } from '@isochip/show'
import { loadShow } from '@isochip/show/node'
import { Queue } from 'bullmq'
import { type MatchJob, type MatchResult, queueName, redisUrl } from './jobs.ts'

/**
 * Puts a show into the queue, a job for each of its parts.
 *
 * The id of a job is made from what it is to do: putting the same show in twice adds nothing.
 *
 *     node --import tsx/esm enqueue.ts SHOW OUT
 */
export async function enqueue(showFile: string, out: string): Promise<string[]> {
  const { plan, folder } = await loadShow(showFile)
  const queue = new Queue<MatchJob, MatchResult>(queueName, { connection: { url: redisUrl } })
  try {
    const jobs = splitShow(plan.show).map(({ setups, show }) => {
      const data: MatchJob = { show, folder, out: join(out, setups[0]!) }
      const jobId = createHash('sha256').update(JSON.stringify(data)).digest('hex')
      // A fault of the machine is tried again elsewhere; a fault of the show would be the same there.
      return {
        name: setups.join(' '),
        data,
        opts: { jobId, attempts: 3, backoff: { type: 'fixed', delay: 1000 } },
      }
    })
    await queue.addBulk(jobs)
    return jobs.map(({ opts }) => opts.jobId)
  } finally {
    await queue.close()
  }
}

if (import.meta.filename === process.argv[1]) {
  const [show, out] = process.argv.slice(2)
  if (show === undefined || out === undefined) {
    console.error('usage: enqueue.ts SHOW OUT')
    process.exit(2)
  }
  console.log(`${(await enqueue(show, out)).length} jobs are in the queue`)
}
