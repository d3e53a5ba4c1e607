import { createFrame, type Frame } from '../../frame/frame.ts'
import { finiteSamples } from './finiteSamples.ts'
import { type PictureKernel, pictureKernel } from './pictureKernel.ts'
import { RowsInKernel } from './rowsInKernel.ts'

/**
 * A frame of fewer pixels: each the mean of `factor` × `factor`, as fractions of the code scale. A rest on the right and below
 * is left away. Samples that are not finite count as 0.
 *
 * @param factor whole, from 2
 * @param kernel same bytes with and without (`null`)
 */
export function reducedFrame(
  frame: Frame,
  factor: number,
  kernel: PictureKernel | null = pictureKernel(),
): Frame {
  const { width, height, data, codeScale } = frame
  const columns = Math.floor(width / factor)
  const rows = Math.floor(height / factor)
  const out = new Float32Array(3 * columns * rows)
  const part = 1 / (factor * factor * codeScale)
  const lines =
    kernel === null
      ? plainLines(factor, columns, part, out)
      : kernelLines(kernel, width, factor, columns, part, out)
  for (let row = 0; row < rows; row++) {
    for (let y = factor * row; y < factor * (row + 1); y++)
      lines.take(data.subarray(3 * y * width, 3 * (y + 1) * width))
    lines.end(3 * columns * row)
  }
  return createFrame(columns, rows, out, 'float')
}

interface Lines {
  /** Adds a row of the frame. */
  readonly take: (samples: Frame['data']) => void
  /** The mean of the rows taken goes to `out`, from there on. */
  readonly end: (to: number) => void
}

function kernelLines(
  kernel: PictureKernel,
  width: number,
  factor: number,
  columns: number,
  part: number,
  out: Float32Array,
): Lines {
  const rows = new RowsInKernel(kernel, width, columns)
  const line = rows.room.place(new Float32Array(3 * columns + 4))
  return {
    take: (samples) => {
      rows.take(samples)
      kernel.run.sumRow!(rows.row, rows.sums, columns, factor)
    },
    end: (to) => {
      kernel.run.endRow!(rows.sums, line, 3 * columns, part)
      out.set(kernel.singles(0).subarray(line / 4, line / 4 + 3 * columns), to)
    },
  }
}

function plainLines(factor: number, columns: number, part: number, out: Float32Array): Lines {
  const sums = new Float64Array(3 * columns)
  return {
    take: (samples) => addRow(finiteSamples(samples), factor, sums),
    end: (to) => {
      for (let k = 0; k < sums.length; k++) out[to + k] = sums[k]! * part
      sums.fill(0)
    },
  }
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
