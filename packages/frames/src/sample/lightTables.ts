import type { Channel, Range, Transfer } from '@isochip/core'
import type { Frame } from '../frame/frame.ts'
import { nominalOf } from '../frame/nominalOf.ts'

/** Light of the sample values of a frame. */
export interface SampleLight {
  /** Of any value, between two codes as well. */
  at(value: number, channel: Channel): number
  /**
   * Of the values that samples have, red, green, blue: what is not known yet is NaN, and `at` works it out. Whole
   * numbers only.
   */
  readonly tables?: readonly [Float64Array, Float64Array, Float64Array]
}

/**
 * What is worked out stays with the curve: a camera's next frame has mostly the same values, and to decode them takes
 * longer than to look at the pixels. At most 1.5 MB a curve and range.
 */
const known = new WeakMap<Transfer, Map<string, SampleLight>>()

export function lightTables(
  frame: Pick<Frame, 'data' | 'bits' | 'codeScale' | 'clip'>,
  range: Range,
  transfer: Transfer,
): SampleLight {
  const { data, bits } = frame
  const nominal = nominalOf(frame, range)
  const at = (value: number, channel: Channel) => transfer.decode(nominal(value), channel)
  if (bits === 'float') return { at }
  const codes = data instanceof Uint8Array ? 256 : 65536
  const key = `${bits} ${range} ${codes}`
  const ofCurve = known.get(transfer) ?? new Map<string, SampleLight>()
  known.set(transfer, ofCurve)
  const before = ofCurve.get(key)
  if (before !== undefined) return before
  const table = () => new Float64Array(codes).fill(Number.NaN)
  const red = table()
  // One table in place of three stays nearer to the processor.
  const made: SampleLight = { at, tables: transfer.channelsAlike ? [red, red, red] : [red, table(), table()] }
  ofCurve.set(key, made)
  return made
}
