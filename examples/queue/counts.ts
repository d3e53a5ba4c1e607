import { Queue } from 'bullmq'
import { queueName, redisUrl } from './jobs.ts'

/*
 * How many jobs are in what state, as one line of JSON.
 *
 *     REDIS_URL=redis://... node --import tsx/esm counts.ts
 */
const queue = new Queue(queueName, { connection: { url: redisUrl } })
console.log(JSON.stringify(await queue.getJobCounts('completed', 'failed', 'waiting', 'active', 'delayed')))
await queue.close()
