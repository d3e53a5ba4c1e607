import { createFrame, type Frame } from '@isochip/frames'

interface KindOfSamples {
  new (memory: ArrayBufferLike): Frame['data']
  readonly BYTES_PER_ELEMENT: number
}

/**
 * The frame at most `longest` pixels long, by the mean of whole blocks of pixels; the frame itself where it is no
 * longer. Pixels that do not fill a block at the right and lower edge are left out, so that the scale is exactly
 * 1 / block.
 *
 * @param shared in memory that threads share, so that it is neither copied nor collected by each that hands it on
 */
export function reduceFrame(frame: Frame, longest: number, shared = false): { frame: Frame; block: number } {
  const block = Math.ceil(Math.max(frame.width, frame.height) / longest)
  if (block <= 1) return { frame, block: 1 }
  const width = Math.floor(frame.width / block)
  const height = Math.floor(frame.height / block)
  const Kind = frame.data.constructor as KindOfSamples
  const bytes = 3 * width * height * Kind.BYTES_PER_ELEMENT
  const data = new Kind(shared ? new SharedArrayBuffer(bytes) : new ArrayBuffer(bytes))
  if (block === 2) halve(frame, width, height, data)
  else reduce(frame, width, height, block, data)
  const { bits, file, clip } = frame
  const reduced = createFrame(width, height, data, bits, file)
  return { frame: clip === undefined ? reduced : { ...reduced, clip }, block }
}

/** Written to an integer array a sum loses its fraction, so it is rounded before. */
const roundingOf = ({ bits }: Frame) => (bits === 'float' ? 0 : 0.5)

function reduce(frame: Frame, width: number, height: number, block: number, out: Frame['data']): void {
  const { data: source, width: stride } = frame
  const share = 1 / (block * block)
  const rounding = roundingOf(frame)
  const step = 3 * block
  const nextRow = 3 * stride - step
  let to = 0
  for (let y = 0; y < height; y++) {
    let corner = y * block * 3 * stride
    for (let x = 0; x < width; x++) {
      let r = 0
      let g = 0
      let b = 0
      let at = corner
      for (let dy = 0; dy < block; dy++) {
        for (let dx = 0; dx < block; dx++) {
          r += source[at]!
          g += source[at + 1]!
          b += source[at + 2]!
          at += 3
        }
        at += nextRow
      }
      out[to] = r * share + rounding
      out[to + 1] = g * share + rounding
      out[to + 2] = b * share + rounding
      corner += step
      to += 3
    }
  }
}

/** The same for blocks of four samples, which is what most frames get: twice as fast. */
function halve(frame: Frame, width: number, height: number, out: Frame['data']): void {
  const { data: source, width: stride } = frame
  const rounding = roundingOf(frame)
  let to = 0
  for (let y = 0; y < height; y++) {
    let a = 6 * y * stride
    let b = a + 3 * stride
    for (let x = 0; x < width; x++) {
      out[to] = 0.25 * (source[a]! + source[a + 3]! + source[b]! + source[b + 3]!) + rounding
      out[to + 1] = 0.25 * (source[a + 1]! + source[a + 4]! + source[b + 1]! + source[b + 4]!) + rounding
      out[to + 2] = 0.25 * (source[a + 2]! + source[a + 5]! + source[b + 2]! + source[b + 5]!) + rounding
      a += 6
      b += 6
      to += 3
    }
  }
}
