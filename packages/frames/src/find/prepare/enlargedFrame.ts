import type { Frame } from '../../frame/frame.ts'

/** A frame with more pixels, each between those about it (bilinear). Samples that are not finite count as 0. */
export function enlargedFrame(frame: Frame, factor: number): Frame {
  const { data } = frame
  const width = frame.width * factor
  const height = frame.height * factor
  const out = new Float32Array(3 * width * height)
  const columns = Array.from({ length: width }, (_, x) => between(x, factor, frame.width))
  for (let y = 0; y < height; y++) {
    const row = between(y, factor, frame.height)
    const above = 3 * row.before * frame.width
    const below = 3 * row.behind * frame.width
    for (let x = 0; x < width; x++) {
      const column = columns[x]!
      const left = 3 * column.before
      const right = 3 * column.behind
      const to = 3 * (y * width + x)
      for (let c = 0; c < 3; c++) {
        const upper =
          finite(data[above + left + c]!) * (1 - column.part) + finite(data[above + right + c]!) * column.part
        const lower =
          finite(data[below + left + c]!) * (1 - column.part) + finite(data[below + right + c]!) * column.part
        out[to + c] = upper * (1 - row.part) + lower * row.part
      }
    }
  }
  return { ...frame, width, height, data: out }
}

const finite = (value: number) => (Number.isFinite(value) ? value : 0)

/** The two pixels between whose middles the middle of a smaller one lies, and how far. */
function between(place: number, factor: number, count: number) {
  const at = Math.max(0, Math.min(count - 1, (place + 0.5) / factor - 0.5))
  const before = Math.floor(at)
  return { before, behind: Math.min(count - 1, before + 1), part: at - before }
}
