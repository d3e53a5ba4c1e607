import type { RenderedFrame } from '../camera/develop.ts'

/** The edge enhancement of a camera: what a pixel has over the mean of its four neighbours is added `amount` times. */
export function sharpen(frame: RenderedFrame, amount: number): RenderedFrame {
  if (amount === 0) return frame
  const { width, height, data, codeScale } = frame
  const out = data.slice()
  const row = width * 3
  for (let y = 1; y < height - 1; y++) {
    for (let at = y * row + 3; at < (y + 1) * row - 3; at++) {
      const around = (data[at - 3]! + data[at + 3]! + data[at - row]! + data[at + row]!) / 4
      const value = data[at]! + amount * (data[at]! - around)
      out[at] = Math.min(Math.max(value + 0.5, 0), codeScale)
    }
  }
  return { ...frame, data: out }
}
