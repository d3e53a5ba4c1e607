/** Exit status of the command; scripts rely on the numbers. */
export const status = {
  /** Done, and within tolerance. */
  done: 0,
  /** Our own fault. */
  bug: 1,
  /** The input or the usage is wrong. */
  input: 2,
  /** Done, but out of tolerance. */
  outOfTolerance: 3,
  /** Ended by Ctrl-C: 128 + SIGINT, as shells have it. */
  cancelled: 130,
} as const

export type Status = (typeof status)[keyof typeof status]
