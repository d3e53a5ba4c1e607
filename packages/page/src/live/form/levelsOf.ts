import type { Planes } from './planes.ts'
import { codesOf, decodingOf, type SignalForm } from './signalForm.ts'

/**
 * Nominal R′G′B′ of a frame, interleaved: 0 is black, 1 the nominal peak; nothing is clipped. Of R′G′B′ frames the form's
 * matrix says nothing.
 *
 * @param step every so many pixels and lines; 1 is all of them
 */
export function levelsOf(
  { kind, width, height, bits, samples: [p, q, s], across, down }: Planes,
  { matrix, range }: SignalForm,
  step = 1,
): { readonly width: number; readonly height: number; readonly levels: Float32Array } {
  const deeper = 2 ** (bits - 8)
  const { black, peak, reach } = codesOf(range)
  // Full range of more bits ends at 2^bits − 1, narrow range is shifted (BT.709-6, item 4.6; BT.2100-2, table 9).
  const unit = range === 'narrow' ? deeper : (2 ** bits - 1) / 255
  const [low, high, far] = [black * deeper, peak * unit, reach * unit]
  const { r, gr, gb, b } = decodingOf(matrix)
  const middle = 128 * deeper
  const first = (step - 1) >> 1
  const columns = Math.ceil((width - first) / step)
  const rows = Math.ceil((height - first) / step)
  const levels = new Float32Array(3 * columns * rows)
  const chromaWidth = Math.ceil(width / across)
  let to = 0
  for (let y = first; y < height; y += step) {
    const line = y * width
    const chromaLine = Math.floor(y / down) * chromaWidth
    for (let x = first; x < width; x += step, to += 3) {
      if (kind === 'rgb') {
        levels[to] = (p[line + x]! - low) / high
        levels[to + 1] = (q[line + x]! - low) / high
        levels[to + 2] = (s[line + x]! - low) / high
        continue
      }
      const luma = (p[line + x]! - low) / high
      const at = chromaLine + (across === 2 ? x >> 1 : x)
      const cb = (q[at]! - middle) / far
      const cr = (s[at]! - middle) / far
      levels[to] = luma + r * cr
      levels[to + 1] = luma - gr * cr - gb * cb
      levels[to + 2] = luma + b * cb
    }
  }
  return { width: columns, height: rows, levels }
}
