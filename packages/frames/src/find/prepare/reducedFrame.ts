import { createFrame, type Frame } from '../../frame/frame.ts'
import { finiteSamples } from './finiteSamples.ts'

/**
 * A frame of fewer pixels: each the mean of `factor` × `factor`, as fractions of the code scale. A rest on the right and below
 * is left away. Samples that are not finite count as 0.
 *
 * @param factor whole, from 2
 */
export function reducedFrame({ width, height, data, codeScale }: Frame, factor: number): Frame {
  const columns = Math.floor(width / factor)
  const rows = Math.floor(height / factor)
  const out = new Float32Array(3 * columns * rows)
  const sums = new Float64Array(3 * columns)
  const part = 1 / (factor * factor * codeScale)
  for (let row = 0; row < rows; row++) {
    sums.fill(0)
    for (let y = factor * row; y < factor * (row + 1); y++)
      addRow(finiteSamples(data.subarray(3 * y * width, 3 * (y + 1) * width)), factor, sums)
    const to = 3 * columns * row
    for (let k = 0; k < sums.length; k++) out[to + k] = sums[k]! * part
  }
  return createFrame(columns, rows, out, 'float')
}

function addRow(samples: Frame['data'], factor: number, sums: Float64Array): void {
  for (let k = 0, at = 0; k < sums.length; k += 3) {
    let r = 0
    let g = 0
    let b = 0
    for (const end = at + 3 * factor; at < end; at += 3) {
      r += samples[at]!
      g += samples[at + 1]!
      b += samples[at + 2]!
    }
    sums[k]! += r
    sums[k + 1]! += g
    sums[k + 2]! += b
  }
}
