import { type Encoding, resolveEncoding, resolveTransfer } from '../encoding/encoding.ts'
import type { Channel } from '../encoding/transfer.ts'
import type { Readings } from '../readings.ts'
import { type Correction, correctLight } from './correction.ts'

/** One sample of the table for each code value of a 10-bit recording. */
const step = 1 / 1024
/** What a picture holds beyond its nominal range, above and below. */
const beyond = 0.1
/** Scene-linear light has no top: no more samples than this, however bright the chart. */
const mostSamples = 4097

/**
 * An encoding with its curve corrected, as a table over the code values that a picture has. Between the samples the
 * table is straight, and so it is beyond them.
 */
export function correctedEncoding(base: Encoding, readings: Readings, correction: Correction): Encoding {
  const top = Math.max(1, ...readings.patches.flatMap(({ rgb }) => [...rgb])) + beyond
  const count = Math.min(Math.ceil((top + beyond) / step) + 1, mostSamples)
  const code = Array.from({ length: count }, (_, i) => -beyond + (i / (count - 1)) * (top + beyond))
  const transfer = resolveTransfer(base.spec.transfer)
  const light = (channel: Channel) => {
    const values = code.map((v) => correctLight(correction, channel, transfer.decode(v, channel)))
    // Where a standard's curve stands still, the smallest rise that still has an inverse.
    for (let i = 1; i < count; i++) values[i] = Math.max(values[i]!, values[i - 1]! + 1e-9)
    return values
  }
  const { primaries, range } = base.spec
  return resolveEncoding({
    transfer: { table: { code, light: [light(0), light(1), light(2)] } },
    primaries,
    range,
  })
}
