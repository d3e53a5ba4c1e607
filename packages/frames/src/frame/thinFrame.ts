import type { Range } from '@isochip/core'
import type { Frame } from './frame.ts'
import { nominalOf } from './nominalOf.ts'

/** The value that stands for the nominal level 1 in `ThinFrame.data`. */
export const thinUnit = 8192

/** Every so many-th pixel of a frame, for scopes. */
export interface ThinFrame {
  readonly width: number
  readonly height: number
  /**
   * Interleaved R, G, B from the top left, nominal: 0 is black, `thinUnit` the nominal peak, whatever the range of the
   * recording. Holds −4 to +4.
   */
  readonly data: Int16Array
}

/**
 * A frame with fewer pixels, each as it was recorded: nothing is averaged, so that noise and what clips stay. Its range is
 * taken out.
 *
 * @param range of its encoding
 * @param mostColumns more are thinned out, rows likewise; at least 1
 */
export function thinFrame(frame: Frame, range: Range, mostColumns: number): ThinFrame {
  const step = Math.ceil(frame.width / mostColumns)
  // From the middle of each step on, so that both borders lose alike.
  const first = (step - 1) >> 1
  const width = Math.ceil((frame.width - first) / step)
  const height = Math.ceil((frame.height - Math.min(first, frame.height - 1)) / step)
  const top = Math.min(first, frame.height - 1)
  const nominal = nominalOf(frame, range)
  const data = new Int16Array(3 * width * height)
  let at = 0
  for (let y = top; y < frame.height; y += step) {
    for (let x = first; x < frame.width; x += step) {
      const from = 3 * (y * frame.width + x)
      for (let c = 0; c < 3; c++) {
        const level = Math.round(thinUnit * nominal(frame.data[from + c]!))
        data[at++] = Math.min(Math.max(level, -32768), 32767)
      }
    }
  }
  return { width, height, data }
}
