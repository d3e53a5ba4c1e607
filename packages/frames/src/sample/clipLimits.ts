import type { Range } from '@isochip/core'
import { exp2 } from '@isochip/core'
import type { Frame } from '../frame/frame.ts'

/** Sample values at and beyond which a pixel counts as clipped. */
export interface ClipLimits {
  readonly low: number
  readonly high: number
}

/**
 * Where a frame's code range ends. Full range: its bottom and top code. Narrow range: the codes that ITU-R BT.709-6,
 * item 4.6 (8 bit: 1 and 254; 10 bit: 4 and 1019) leaves to video, the rest being for timing references; a deeper
 * file that holds 8- or 10-bit video, shifted or repeated into the low bits, is caught as well. Float: only infinities.
 */
export function clipLimits(frame: Pick<Frame, 'bits' | 'codeScale' | 'clip'>, range: Range): ClipLimits {
  if (frame.clip !== undefined) return frame.clip
  if (frame.bits === 'float') return { low: Number.NEGATIVE_INFINITY, high: Number.POSITIVE_INFINITY }
  if (range === 'full') return { low: 0, high: frame.codeScale }
  const step = exp2(frame.bits - 8)
  // 8-bit code 1 repeated into 16 bits is 257 = 1.004 steps, 10-bit code 1019 shifted to 16 bits 254.75 steps.
  return { low: 1.01 * step, high: 254 * step }
}
