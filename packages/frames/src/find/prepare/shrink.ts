import type { Frame } from '../../frame/frame.ts'
import { finiteSamples } from './finiteSamples.ts'
import type { PictureKernel } from './pictureKernel.ts'
import { RowsInKernel } from './rowsInKernel.ts'

/** Pixels of a picture, and how many of its pixels one of the frame's is. */
export interface Size {
  readonly width: number
  readonly height: number
  readonly scale: number
}

/** Samples of a frame at a size, each the mean of the frame pixels under it; see `workingImage`. */
export function shrink(frame: Frame, size: Size, kernel: PictureKernel | null): Float32Array {
  const { width: fw, height: fh, data } = frame
  const { width, height, scale } = size
  const out = new Float32Array(3 * width * height)
  const lines = kernel === null ? plainLines(frame, size, out) : kernelLines(kernel, frame, size, out)
  const weight = (scale * scale) / frame.codeScale
  for (let sy = 0; sy < fh; sy++) {
    lines.take(data.subarray(3 * sy * fw, 3 * (sy + 1) * fw))
    const y = Math.floor(sy * scale)
    const first = Math.min(1, (y + 1 - sy * scale) / scale)
    lines.add(y, first * weight)
    lines.add(y + 1, (1 - first) * weight)
    if (Math.floor((sy + 1) * scale) > y || sy === fh - 1) lines.end(y)
  }
  return out
}

interface Lines {
  /** The next row of the frame. */
  readonly take: (samples: Frame['data']) => void
  /** Adds it to a line of the picture. */
  readonly add: (line: number, weight: number) => void
  /** Nothing more is added to a line. */
  readonly end: (line: number) => void
}

/** Of each working pixel the first frame pixel that begins in it, and the share of its last one that falls into it. */
function columnsOf({ width: fw }: Frame, { width, scale }: Size) {
  const begin = new Int32Array(width + 2).fill(fw)
  const share = new Float64Array(width + 1)
  for (let x = fw - 1; x >= 0; x--) {
    const place = x * scale
    const whole = Math.floor(place)
    const to = Math.min(whole, width)
    const last = begin[to] === fw
    if (last) share[to] = Math.min(1, (whole + 1 - place) / scale)
    begin[to] = x
  }
  return { begin, share }
}

/** Two lines at a time are in the kernel's memory: the one that is ended next, and the one below. */
function kernelLines(kernel: PictureKernel, frame: Frame, size: Size, out: Float32Array): Lines {
  const { width, height } = size
  const { begin, share } = columnsOf(frame, size)
  const rows = new RowsInKernel(kernel, frame.width, width + 1)
  const [begins, shares] = [rows.room.place(begin), rows.room.place(share)]
  const lines = [0, 1].map(() => rows.room.place(new Float32Array(3 * width + 4)))
  return {
    take: (samples) => {
      rows.take(samples)
      kernel.run.shareRow!(rows.row, begins, shares, rows.sums, width + 1)
    },
    add: (line, weight) => {
      if (line < height && weight > 0) kernel.run.addRow!(rows.sums, lines[line & 1]!, 3 * width, weight)
    },
    end: (line) => {
      if (line >= height) return
      const from = lines[line & 1]! / 4
      const done = kernel.singles(0).subarray(from, from + 3 * width)
      out.set(done, 3 * width * line)
      done.fill(0)
    },
  }
}

function plainLines(frame: Frame, size: Size, out: Float32Array): Lines {
  const { width, height } = size
  const { begin, share } = columnsOf(frame, size)
  const row = new Float64Array(3 * (width + 2))
  return {
    take: (samples) => addRow(finiteSamples(samples), begin, share, row),
    add: (line, weight) => {
      if (line < height && weight > 0) addLine(out, 3 * width * line, row, 3 * width, weight)
    },
    end: () => {},
  }
}

/** A function of its own, which the engine makes fast code of: most of the time goes here. */
function addLine(out: Float32Array, to: number, row: Float64Array, count: number, weight: number): void {
  for (let k = 0; k < count; k++) out[to + k]! += row[k]! * weight
}

/**
 * A row of pixels by the working pixels under which they lie, the last of each in its shares. Sums stay at hand until they are
 * whole: to add to the same place of an array over and over is to wait for it.
 */
function addRow(samples: Frame['data'], begin: Int32Array, share: Float64Array, row: Float64Array): void {
  let [r, g, b] = [0, 0, 0]
  for (let to = 0; to < share.length; to++) {
    const last = 3 * (begin[to + 1]! - 1)
    let at = 3 * begin[to]!
    if (at > last) {
      // The rest on the right may have no pixel of its own.
      row[3 * to] = r
      row[3 * to + 1] = g
      row[3 * to + 2] = b
      continue
    }
    for (; at < last; at += 3) {
      r += samples[at]!
      g += samples[at + 1]!
      b += samples[at + 2]!
    }
    const part = share[to]!
    row[3 * to] = r + samples[at]! * part
    row[3 * to + 1] = g + samples[at + 1]! * part
    row[3 * to + 2] = b + samples[at + 2]! * part
    const rest = 1 - part
    r = rest > 0 ? samples[at]! * rest : 0
    g = rest > 0 ? samples[at + 1]! * rest : 0
    b = rest > 0 ? samples[at + 2]! * rest : 0
  }
}
