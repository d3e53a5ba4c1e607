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
  // Held by names of their own: this is the inner loop of every frame that is read.
  const { data: source, width: stride } = frame
  const samples = 3 * width
  const sums = new Float64Array(samples)
  const share = 1 / (block * block)
  // Written to an integer array the sum loses its fraction, so it is rounded here.
  const rounding = frame.bits === 'float' ? 0 : 0.5
  for (let y = 0; y < height; y++) {
    sums.fill(0)
    for (let dy = 0; dy < block; dy++) {
      let at = 3 * (y * block + dy) * stride
      for (let x = 0; x < samples; x += 3) {
        let r = 0
        let g = 0
        let b = 0
        for (const end = at + 3 * block; at < end; at += 3) {
          r += source[at]!
          g += source[at + 1]!
          b += source[at + 2]!
        }
        sums[x]! += r
        sums[x + 1]! += g
        sums[x + 2]! += b
      }
    }
    const row = y * samples
    for (let i = 0; i < samples; i++) data[row + i] = sums[i]! * share + rounding
  }
  return { frame: createFrame(width, height, data, frame.bits, frame.file), block }
}
