import { nominalFromFraction, type Range } from '@isochip/core'
import type { Frame } from './frame.ts'

/** Floats in narrow range have its ends where ten bits have them: no code says otherwise. */
const floatBits = 10

/**
 * Sample value → nominal fraction. The range is taken out of codes, and of floats that hold codes as fractions; of the
 * levels of a Y′CbCr clip, which says where they clip, the decoder took it out.
 */
export function nominalOf(
  { bits, codeScale, clip }: Pick<Frame, 'bits' | 'codeScale' | 'clip'>,
  range: Range,
): (value: number) => number {
  if (bits !== 'float') return (value) => nominalFromFraction(value / codeScale, range, bits)
  if (clip !== undefined || range === 'full') return (value) => value
  return (value) => nominalFromFraction(value, range, floatBits)
}
