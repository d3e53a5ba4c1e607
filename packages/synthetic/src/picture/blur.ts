import type { Picture } from './picture.ts'

/** One running mean of 2·radius + 1 samples along a line of the picture; edges are held. */
function boxLine(
  source: Float32Array,
  target: Float32Array,
  start: number,
  step: number,
  count: number,
  radius: number,
): void {
  const scale = 1 / (2 * radius + 1)
  const at = (i: number) => start + Math.min(Math.max(i, 0), count - 1) * step
  let sum = 0
  for (let i = -radius; i <= radius; i++) sum += source[at(i)]!
  for (let i = 0; i < count; i++) {
    target[start + i * step] = sum * scale
    sum += source[at(i + radius + 1)]! - source[at(i - radius)]!
  }
}

/** Out of focus: two running means of so many pixels' radius in both directions, which look like a lens. */
export function blur(picture: Picture, radius: number): Picture {
  const { width, height } = picture
  const size = Math.round(radius)
  if (size < 1) return picture
  const data = picture.data.slice()
  const between = new Float32Array(data.length)
  for (let pass = 0; pass < 2; pass++) {
    for (let y = 0; y < height; y++) {
      for (let c = 0; c < 3; c++) boxLine(data, between, y * width * 3 + c, 3, width, size)
    }
    for (let x = 0; x < width * 3; x++) boxLine(between, data, x, width * 3, height, size)
  }
  return { width, height, data }
}
