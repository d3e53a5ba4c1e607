import { InvalidArgumentError } from 'commander'

/** A day from the command line, as ISO 8601 has it: 2026-03-01. */
export function parseDate(text: string): string {
  const day = new Date(`${text}T00:00:00Z`)
  if (!/^\d{4}-\d{2}-\d{2}$/.test(text) || Number.isNaN(day.getTime()) || !day.toISOString().startsWith(text))
    throw new InvalidArgumentError('Expected a date, such as 2026-03-01.')
  return text
}
