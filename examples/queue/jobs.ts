import type { Show } from '@isochip/show'

/** Name of the queue in Redis. */
export const queueName = 'chart-matches'

/** One part of a show: what one worker does without knowing of the others. */
export interface MatchJob {
  readonly show: Show
  /** Folder from which the paths in the show start, as every worker sees it: shared storage. */
  readonly folder: string
  /** Folder for the LUTs of this part. */
  readonly out: string
}

export interface MatchResult {
  readonly within: boolean
  readonly matches: number
  /** Cameras that could not be matched, and why. */
  readonly failures: readonly string[]
}

/** Where Redis is; without REDIS_URL the one of this machine. */
export const redisUrl = process.env.REDIS_URL ?? 'redis://127.0.0.1:6379'

/** Seconds until a job counts as lost whose worker is heard of no more. */
export const lostAfter = Number(process.env.LOST_AFTER ?? 30)
