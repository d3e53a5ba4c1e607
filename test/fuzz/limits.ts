/** Beyond these an input has done harm, whatever comes of it. */
export const limits = {
  /** Processor time of one input, s. All inputs are small: what takes longer hangs, or is on its way to it. */
  seconds: 20,
  /** What one input may take in memory beyond what the process had before it. */
  megabytes: 1000,
  /** Characters of a line of a message; nobody reads more. */
  messageLine: 400,
  /** Lines of a message: a show file has its faults told together, twenty at most, each with a hint. */
  messageLines: 22,
} as const
