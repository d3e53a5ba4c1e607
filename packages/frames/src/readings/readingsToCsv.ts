import type { Readings } from '@isochip/core'

const quoted = (name: string) => (/[",\r\n]|^\s|\s$/.test(name) ? `"${name.replaceAll('"', '""')}"` : name)

/**
 * The text of a readings CSV file. Numbers are written so that `parseReadings` gets the same doubles back. A column
 * that not every reading can fill is left out, and `foreign` where nothing is.
 */
export function readingsToCsv(readings: Readings): string {
  const every = (field: 'sd' | 'pixels' | 'clipped') =>
    readings.patches.every((one) => one[field] !== undefined)
  const sd = every('sd')
  const pixels = every('pixels')
  const clipped = every('clipped')
  const header = ['patch', 'r', 'g', 'b', ...(sd ? ['sd_r', 'sd_g', 'sd_b'] : [])]
  if (pixels) header.push('pixels')
  if (clipped) header.push('clipped')
  const foreign = readings.patches.some((one) => one.foreign === true)
  if (foreign) header.push('foreign')
  const rows = readings.patches.map((one) =>
    [
      quoted(one.patch),
      ...one.rgb,
      ...(sd ? one.sd! : []),
      ...(pixels ? [one.pixels!] : []),
      ...(clipped ? [one.clipped!] : []),
      ...(foreign ? [one.foreign === true ? 1 : 0] : []),
    ].join(','),
  )
  return `${[header.join(','), ...rows].join('\n')}\n`
}
