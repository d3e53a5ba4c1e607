import type { Frame } from '../../frame/frame.ts'
import { bent, type WorkingImage } from './workingImage.ts'

/** Side of the squares that are made at once, pixels. */
const side = 64

/**
 * A frame at a size, as `workingImage` has it, but made where it is looked at, and with another picture's tones: of a large picture
 * a place or two are looked at.
 */
export function pictureInParts(
  frame: Frame,
  longest: number,
  { tones, clip }: Pick<WorkingImage, 'tones' | 'clip'>,
): WorkingImage {
  const scale = Math.min(1, longest / Math.max(frame.width, frame.height))
  const width = Math.max(1, Math.floor(frame.width * scale + 1e-9))
  const height = Math.max(1, Math.floor(frame.height * scale + 1e-9))
  const data = new Float32Array(3 * width * height)
  const columns = Math.ceil(width / side)
  const done = new Uint8Array(columns * Math.ceil(height / side))
  const need = (left: number, top: number, right: number, bottom: number) => {
    const to = Math.min(columns - 1, Math.floor(right / side))
    const last = Math.floor(Math.min(height - 1, bottom) / side)
    for (let row = Math.max(0, Math.floor(top / side)); row <= last; row++) {
      for (let column = Math.max(0, Math.floor(left / side)); column <= to; column++) {
        if (done[row * columns + column] === 1) continue
        done[row * columns + column] = 1
        const [x, y] = [column * side, row * side]
        shrinkSquare(frame, scale, data, width, x, y, Math.min(width, x + side), Math.min(height, y + side))
        for (let line = y; line < Math.min(height, y + side); line++)
          bent(data, 3 * (line * width + x), 3 * (line * width + Math.min(width, x + side)), tones)
      }
    }
  }
  return { width, height, data, scale, clip, tones, need }
}

/** Each pixel the mean of the frame pixels under it, those that it covers in part by that part. */
function shrinkSquare(
  frame: Frame,
  scale: number,
  out: Float32Array,
  width: number,
  left: number,
  top: number,
  right: number,
  bottom: number,
): void {
  const { data, codeScale } = frame
  const part = (scale * scale) / codeScale
  const line = new Float64Array(3 * (right - left))
  for (let y = top; y < bottom; y++) {
    line.fill(0)
    const [from, to] = [y / scale, Math.min(frame.height, (y + 1) / scale)]
    for (let sy = Math.floor(from); sy < to; sy++)
      addLine(
        data,
        3 * sy * frame.width,
        frame.width,
        scale,
        left,
        right,
        line,
        part * (Math.min(to, sy + 1) - Math.max(from, sy)),
      )
    out.set(line, 3 * (y * width + left))
  }
}

function addLine(
  data: Frame['data'],
  row: number,
  columns: number,
  scale: number,
  left: number,
  right: number,
  line: Float64Array,
  share: number,
): void {
  for (let x = left, at = 0; x < right; x++, at += 3) {
    const from = x / scale
    const to = Math.min(columns, (x + 1) / scale)
    let [r, g, b] = [0, 0, 0]
    for (let sx = Math.floor(from); sx < to; sx++) {
      const weight = Math.min(to, sx + 1) - Math.max(from, sx)
      const k = row + 3 * sx
      r += weight * finite(data[k]!)
      g += weight * finite(data[k + 1]!)
      b += weight * finite(data[k + 2]!)
    }
    line[at]! += share * r
    line[at + 1]! += share * g
    line[at + 2]! += share * b
  }
}

const finite = (value: number) => (Number.isFinite(value) ? value : 0)
