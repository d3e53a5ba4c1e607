import { InvalidArgumentError } from 'commander'

/** A whole number from the command line. */
export function parseWhole(text: string): number {
  if (!/^\d{1,9}$/.test(text)) throw new InvalidArgumentError('Expected a whole number.')
  return Number(text)
}

/** A time in seconds from the command line. */
export function parseSeconds(text: string): number {
  if (!/^\d{1,6}(\.\d+)?$/.test(text)) throw new InvalidArgumentError('Expected seconds, such as 12.5.')
  return Number(text)
}
