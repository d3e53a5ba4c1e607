import type { WorkingImage } from './workingImage.ts'

/**
 * How much the picture changes at every pixel: the largest of the channels' gradient magnitudes, per pixel, from
 * central differences after smoothing with a binomial 3 × 3 (together Sobel's kernel ÷ 8). The outermost pixels take
 * the values of their neighbours.
 */
export function gradientMap(image: WorkingImage): Float32Array {
  const { width, height, data } = image
  const out = new Float32Array(width * height)
  const stride = 3 * width
  // Of every column of three samples their smoothed value, and how they change downwards.
  const smooth = new Float64Array(stride)
  const change = new Float64Array(stride)
  for (let y = 1; y < height - 1; y++) {
    for (let i = 0, at = y * stride; i < stride; i++, at++) {
      const above = data[at - stride]!
      const below = data[at + stride]!
      smooth[i] = above + 2 * data[at]! + below
      change[i] = below - above
    }
    for (let x = 1, i = 3; x < width - 1; x++, i += 3) {
      let most = 0
      for (let k = i; k < i + 3; k++) {
        const dx = smooth[k + 3]! - smooth[k - 3]!
        const dy = change[k - 3]! + 2 * change[k]! + change[k + 3]!
        const square = dx * dx + dy * dy
        if (square > most) most = square
      }
      out[y * width + x] = Math.sqrt(most) / 8
    }
  }
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
