import type { WorkingImage } from './workingImage.ts'

/**
 * The picture with every sample replaced by the median of the 3 × 3 about it: noise goes down to about 0.4 of itself,
 * lone bright or dark pixels go, and edges stay where they are. The outermost pixels stay as they are.
 */
export function medianFilter(image: WorkingImage): WorkingImage {
  const { width, height, data } = image
  const out = data.slice()
  const stride = 3 * width
  // Of every column of three: its least, its middle and its largest value.
  const low = new Float32Array(stride)
  const middle = new Float32Array(stride)
  const high = new Float32Array(stride)
  for (let y = 1; y < height - 1; y++) {
    const row = y * stride
    for (let x = 0; x < stride; x++) {
      const a = data[row - stride + x]!
      const b = data[row + x]!
      const c = data[row + stride + x]!
      const less = Math.min(a, b)
      const more = Math.max(a, b)
      low[x] = Math.min(less, c)
      high[x] = Math.max(more, c)
      middle[x] = Math.max(less, Math.min(more, c))
    }
    for (let x = 3; x < stride - 3; x++) {
      // The median of nine lies between the largest of the leasts and the least of the largests.
      const l = Math.max(low[x - 3]!, low[x]!, low[x + 3]!)
      const h = Math.min(high[x - 3]!, high[x]!, high[x + 3]!)
      const m = median(middle[x - 3]!, middle[x]!, middle[x + 3]!)
      out[row + x] = median(l, m, h)
    }
  }
  return { ...image, data: out }
}

function median(a: number, b: number, c: number): number {
  return Math.max(Math.min(a, b), Math.min(Math.max(a, b), c))
}
