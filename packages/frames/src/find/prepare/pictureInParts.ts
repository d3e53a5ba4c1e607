import type { Frame } from '../../frame/frame.ts'
import { bySquares } from './bySquares.ts'
import { bent } from './tones.ts'
import { sizeWithin, type WorkingImage } from './workingImage.ts'

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
  const { scale, width, height } = sizeWithin(frame, longest)
  const data = new Float32Array(3 * width * height)
  const need = bySquares({ width, height }, side, (left, top, right, bottom) => {
    shrinkSquare(frame, scale, data, width, left, top, right, bottom)
    for (let y = top; y < bottom; y++) bent(data, 3 * (y * width + left), 3 * (y * width + right), tones)
  })
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
