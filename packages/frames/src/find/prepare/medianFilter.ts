import { bySquares } from './bySquares.ts'
import { type PictureKernel, pictureKernel } from './pictureKernel.ts'
import type { WorkingImage } from './workingImage.ts'

/** Side of the squares that are filtered at once, pixels. */
const side = 96

/**
 * The picture with every sample replaced by the median of the 3 × 3 about it: noise goes down to about 0.4 of itself,
 * lone bright or dark pixels go, and edges stay where they are. The outermost pixels stay as they are.
 *
 * Filtered where it is looked at, as `WorkingImage.need` says: of a large picture a place or two are.
 *
 * @param kernel same bytes with and without (`null`)
 */
export function medianFilter(
  image: WorkingImage,
  kernel: PictureKernel | null = pictureKernel(),
): WorkingImage {
  const { width, height } = image
  const data = new Float32Array(image.data.length)
  const from = new Int32Array(image.data.buffer, image.data.byteOffset, image.data.length)
  const into = new Int32Array(data.buffer)
  const need = bySquares(image, side, (...ends) => {
    const [left, top, right, bottom] = ends
    image.need?.(left - 1, top - 1, right, bottom)
    const square = squareOf(width, height, ends)
    keepOutermost(image.data, data, width, height, ends)
    if (square.first >= square.behind || square.top >= square.end) return
    if (kernel === null) filterSquare(from, into, 3 * width, square)
    else filterByKernel(image.data, data, 3 * width, square, kernel)
  })
  return { ...image, data, need }
}

/** What has neighbours on all sides: samples of a row from `first` on, rows from `top` on. */
interface Square {
  readonly first: number
  readonly behind: number
  readonly top: number
  readonly end: number
}

type Ends = readonly [left: number, top: number, right: number, bottom: number]

const squareOf = (width: number, height: number, [left, top, right, bottom]: Ends): Square => ({
  first: Math.max(3 * left, 3),
  behind: Math.min(3 * right, 3 * width - 3),
  top: Math.max(top, 1),
  end: Math.min(height - 1, bottom),
})

function keepOutermost(
  data: Float32Array,
  out: Float32Array,
  width: number,
  height: number,
  [left, top, right, bottom]: Ends,
): void {
  const keep = (x: number, y: number) => {
    for (let k = 3 * (y * width + x); k < 3 * (y * width + x + 1); k++) out[k] = data[k]!
  }
  for (let y = top; y < bottom; y++) {
    if (left === 0) keep(0, y)
    if (right === width) keep(width - 1, y)
  }
  for (const y of [0, height - 1]) if (y >= top && y < bottom) for (let x = left; x < right; x++) keep(x, y)
}

function filterByKernel(
  data: Float32Array,
  out: Float32Array,
  stride: number,
  { first, behind, top, end }: Square,
  kernel: PictureKernel,
): void {
  const line = behind - first + 6
  const rows = end - top + 2
  const filtered = line * rows + 16
  const room = filtered + line * rows + 16
  const singles = kernel.singles(room + 3 * (line + 16))
  for (let y = 0, at = stride * (top - 1) + first - 3; y < rows; y++, at += stride)
    singles.set(data.subarray(at, at + line), y * line)
  kernel.run.median!(0, 4 * filtered, 4 * room, line, 3, line - 3, 1, rows - 1)
  for (let y = 1, at = stride * top + first; y < rows - 1; y++, at += stride)
    out.set(singles.subarray(filtered + y * line + 3, filtered + (y + 1) * line - 3), at)
}

/**
 * By the bits of the samples, of which none is below nothing: read as whole numbers they stand in the same order, and whole
 * numbers can be ordered without branches, of which noise has the processor guess every other one wrong.
 */
function filterSquare(
  data: Int32Array,
  out: Int32Array,
  stride: number,
  { first, behind, top, end }: Square,
): void {
  // Of every column of three: its least, its middle and its largest value; from the column before the square on.
  const count = behind - first + 6
  const low = new Int32Array(count)
  const middle = new Int32Array(count)
  const high = new Int32Array(count)
  for (let y = top; y < end; y++) {
    const row = y * stride
    for (let i = 0, at = row + first - 3; i < count; i++, at++) {
      const a = data[at - stride]!
      const b = data[at]!
      const c = data[at + stride]!
      const less = least(a, b)
      const more = most(a, b)
      low[i] = least(less, c)
      high[i] = most(more, c)
      middle[i] = most(less, least(more, c))
    }
    for (let i = 3, at = row + first; i < count - 3; i++, at++) {
      // The median of nine lies between the largest of the leasts and the least of the largests.
      const l = most(most(low[i - 3]!, low[i]!), low[i + 3]!)
      const h = least(least(high[i - 3]!, high[i]!), high[i + 3]!)
      const m = median(middle[i - 3]!, middle[i]!, middle[i + 3]!)
      out[at] = median(l, m, h)
    }
  }
}

function median(a: number, b: number, c: number): number {
  return most(least(a, b), least(most(a, b), c))
}

/** Of whole numbers from 0 to 2³¹ − 1. */
function least(a: number, b: number): number {
  const over = (a - b) | 0
  return (b + (over & (over >> 31))) | 0
}

function most(a: number, b: number): number {
  const over = (a - b) | 0
  return (a - (over & (over >> 31))) | 0
}
