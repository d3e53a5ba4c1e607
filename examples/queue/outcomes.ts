import { setTimeout } from 'node:timers/promises'
import { Queue } from 'bullmq'
import { type MatchJob, type MatchResult, queueName, redisUrl } from './jobs.ts'

export interface Outcome {
  readonly name: string
  readonly result?: MatchResult
  readonly error?: string
}

/** Waits until all jobs have ended, well or not. What is asked is the queue itself, so that no message can be missed. */
export async function outcomes(ids: readonly string[]): Promise<Outcome[]> {
  const queue = new Queue<MatchJob, MatchResult>(queueName, { connection: { url: redisUrl } })
  // The connection is tried again by itself.
  queue.on('error', () => undefined)
  try {
    const ended = new Map<string, Outcome>()
    while (ended.size < ids.length) {
      for (const id of ids.filter((one) => !ended.has(one))) {
        const job = await queue.getJob(id)
        const state = await job?.getState()
        if (job === undefined) ended.set(id, { name: id, error: 'the queue does not know this job' })
        else if (state === 'completed') ended.set(id, { name: job.name, result: job.returnvalue })
        else if (state === 'failed') ended.set(id, { name: job.name, error: job.failedReason })
      }
      if (ended.size < ids.length) await setTimeout(200)
    }
    return ids.map((id) => ended.get(id)!)
  } finally {
    await queue.close()
  }
}
