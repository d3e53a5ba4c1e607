import type { Frame } from '@isochip/frames'

/** Pixels across of what is looked at; the frame itself stays as it is. */
const widest = 1280

/** A frame for the eye: reduced by whole steps, codes as recorded, 8 bits. */
export async function previewOf(frame: Frame): Promise<ImageBitmap> {
  const step = Math.max(1, Math.ceil(frame.width / widest))
  const width = Math.floor(frame.width / step)
  const height = Math.floor(frame.height / step)
  const pixels = new ImageData(width, height)
  const scale = 255 / (frame.codeScale * step * step)
  const row = new Float64Array(3 * width)
  for (let y = 0; y < height; y++) {
    row.fill(0)
    for (let dy = 0; dy < step; dy++) {
      let at = 3 * (y * step + dy) * frame.width
      for (let x = 0; x < width; x++) {
        for (let dx = 0; dx < step; dx++, at += 3) {
          row[3 * x]! += frame.data[at]!
          row[3 * x + 1]! += frame.data[at + 1]!
          row[3 * x + 2]! += frame.data[at + 2]!
        }
      }
    }
    for (let x = 0, to = 4 * y * width; x < width; x++, to += 4) {
      for (let c = 0; c < 3; c++) pixels.data[to + c] = scale * row[3 * x + c]!
      pixels.data[to + 3] = 255
    }
  }
  return await createImageBitmap(pixels)
}
