import { type PictureKernel, pictureKernel } from './pictureKernel.ts'
import type { WorkingImage } from './workingImage.ts'

/** Rows that are worked on in one piece: few enough to stay in the cache. */
const band = 32

type Rows = Pick<WorkingImage, 'width' | 'height' | 'data'>

/**
 * How much the picture changes at every pixel: the largest of the channels' gradient magnitudes, per pixel, from
 * central differences after smoothing with a binomial 3 × 3 (together Sobel's kernel ÷ 8). The outermost pixels take
 * the values of their neighbours.
 *
 * @param kernel same bytes with and without (`null`)
 */
export function gradientMap(image: Rows, kernel: PictureKernel | null = pictureKernel()): Float32Array {
  const { width, height } = image
  const out = new Float32Array(width * height)
  if (kernel === null) plain(image, out)
  else inBands(image, out, kernel)
  for (let x = 0; x < width; x++) {
    out[x] = out[Math.min(height - 1, 1) * width + x]!
    out[(height - 1) * width + x] = out[Math.max(0, height - 2) * width + x]!
  }
  for (let y = 0; y < height; y++) {
    out[y * width] = out[y * width + Math.min(width - 1, 1)]!
    out[y * width + width - 1] = out[y * width + Math.max(0, width - 2)]!
  }
  return out
}

function inBands({ width, height, data }: Rows, out: Float32Array, kernel: PictureKernel): void {
  if (width < 3) return
  const stride = 3 * width
  const most = Math.min(height, band + 2)
  // A picture's rows, their gradients, and room for two rows; vectors reach a little beyond their ends.
  const gradients = most * stride + 16
  const room = gradients + most * width + 16
  const singles = kernel.singles(room + 2 * stride + 64)
  for (let top = 1; top < height - 1; top += band) {
    const rows = Math.min(band, height - 1 - top)
    singles.set(data.subarray((top - 1) * stride, (top + rows + 1) * stride))
    kernel.run.gradient!(0, 4 * gradients, 4 * room, width, rows + 2)
    out.set(singles.subarray(gradients + width, gradients + (rows + 1) * width), top * width)
  }
}

/** In singles, as the kernel has it: each sum and product is rounded. */
function plain({ width, height, data }: Rows, out: Float32Array): void {
  const stride = 3 * width
  // Of every column of three samples their smoothed value, and how they change downwards.
  const smooth = new Float32Array(stride)
  const change = new Float32Array(stride)
  for (let y = 1; y < height - 1; y++) {
    for (let i = 0, at = y * stride; i < stride; i++, at++) {
      const above = data[at - stride]!
      const below = data[at + stride]!
      smooth[i] = Math.fround(above + below) + 2 * data[at]!
      change[i] = below - above
    }
    for (let x = 1, i = 3; x < width - 1; x++, i += 3) {
      let most = 0
      for (let k = i; k < i + 3; k++) {
        const dx = Math.fround(smooth[k + 3]! - smooth[k - 3]!)
        const dy = Math.fround(Math.fround(change[k - 3]! + change[k + 3]!) + 2 * change[k]!)
        const square = Math.fround(Math.fround(dx * dx) + Math.fround(dy * dy))
        if (square > most) most = square
      }
      out[y * width + x] = Math.fround(Math.sqrt(most)) / 8
    }
  }
}
