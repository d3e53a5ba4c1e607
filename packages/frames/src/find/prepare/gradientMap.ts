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
  for (let y = 1; y < height - 1; y++) {
    for (let x = 1; x < width - 1; x++) {
      let most = 0
      for (let c = 0; c < 3; c++) {
        const at = 3 * (y * width + x) + c
        const nw = data[at - stride - 3]!
        const n = data[at - stride]!
        const ne = data[at - stride + 3]!
        const w = data[at - 3]!
        const e = data[at + 3]!
        const sw = data[at + stride - 3]!
        const s = data[at + stride]!
        const se = data[at + stride + 3]!
        const dx = (ne - nw + 2 * (e - w) + se - sw) / 8
        const dy = (sw - nw + 2 * (s - n) + se - ne) / 8
        const square = dx * dx + dy * dy
        if (square > most) most = square
      }
      out[y * width + x] = Math.sqrt(most)
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
