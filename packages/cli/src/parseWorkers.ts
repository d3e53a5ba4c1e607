import { InvalidArgumentError } from 'commander'

const most = 64

/** A number of threads from the command line. */
export function parseWorkers(text: string): number {
  const workers = Number(text)
  if (/^\d+$/.test(text) && workers <= most) return workers
  throw new InvalidArgumentError(`Expected a whole number, 0 to ${most}.`)
}
