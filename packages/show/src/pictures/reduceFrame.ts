import { createFrame, type Frame } from '@isochip/frames'

/**
 * The frame at most `longest` pixels long, by the mean of whole blocks of pixels; the frame itself where it is no
 * longer. Pixels that do not fill a block at the right and lower edge are left out, so that the scale is exactly
 * 1 / block.
 */
export function reduceFrame(frame: Frame, longest: number): { frame: Frame; block: number } {
  const block = Math.ceil(Math.max(frame.width, frame.height) / longest)
  if (block <= 1) return { frame, block: 1 }
  const width = Math.floor(frame.width / block)
  const height = Math.floor(frame.height / block)
  const Kind = frame.data.constructor as new (length: number) => Frame['data']
  const data = new Kind(3 * width * height)
  const sums = new Float64Array(3 * width)
  const share = 1 / (block * block)
  const rounding = frame.bits === 'float' ? 0 : 0.5
  for (let y = 0; y < height; y++) {
    sums.fill(0)
    for (let dy = 0; dy < block; dy++) {
      let at = 3 * (y * block + dy) * frame.width
      for (let x = 0; x < 3 * width; x += 3) {
        for (let dx = 0; dx < block; dx++, at += 3) {
          sums[x]! += frame.data[at]!
          sums[x + 1]! += frame.data[at + 1]!
          sums[x + 2]! += frame.data[at + 2]!
        }
      }
    }
    // Written to an integer array the sum loses its fraction, so it is rounded here.
    for (let i = 0; i < 3 * width; i++) data[3 * y * width + i] = sums[i]! * share + rounding
  }
  return { frame: createFrame(width, height, data, frame.bits, frame.file), block }
}
