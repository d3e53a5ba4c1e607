import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { applyLut, type Interpolation, type LatticeLut, readCube } from '@isochip/export'
import type { ConsumerTool } from '../support/consumerTool.ts'
import { frameHeight, frameWidth, largestDifference, numberedCube, testFrame } from './lutNumbers.ts'

/** Largest difference in 16-bit codes between ours and the other program's, over all LUTs of a run. */
export interface Agreement {
  readonly luts: number
  readonly trilinear: number
  readonly tetrahedral: number
}

const interpolations: Interpolation[] = ['trilinear', 'tetrahedral']
const script = new URL('./lutOcio.py', import.meta.url).pathname

/** OpenColorIO reads lattices up to this size. */
const ocioLargest = 129

function inFolder<T>(work: (folder: string) => T): T {
  const folder = mkdtempSync(join(tmpdir(), 'isochip-lut-'))
  try {
    return work(folder)
  } finally {
    rmSync(folder, { recursive: true })
  }
}

function ours(lut: LatticeLut, frame: Uint16Array, interpolation: Interpolation): Uint16Array {
  const out = frame.slice()
  applyLut(lut, { data: out, width: frameWidth, height: frameHeight }, { interpolation })
  return out
}

const asLattice = (text: string) => readCube(text, { table: 'single' }).lut as LatticeLut

/**
 * What ffmpeg makes of a domain (libavfilter/vf_lut3d.c, parse_cube: scale = clip(1 / (max − min), 0, 1), and the
 * lower end is not used): input 0 meets the first node, and input max(1, domainMax − domainMin) the last.
 */
function asFfmpegReads(lut: LatticeLut): LatticeLut {
  const width = (c: 0 | 1 | 2) => Math.max(1, lut.domainMax[c] - lut.domainMin[c])
  return { ...lut, domainMin: [0, 0, 0], domainMax: [width(0), width(1), width(2)] }
}

/** LUTs `numbers` through OpenColorIO and through us. */
export function agreeWithOcio(python: ConsumerTool, numbers: readonly number[]): Agreement {
  return inFolder((folder) => {
    const worst = { trilinear: 0, tetrahedral: 0 }
    const jobs: string[] = []
    const pending: { lut: LatticeLut; frame: Uint16Array; interpolation: Interpolation; out: string }[] = []
    for (const number of numbers) {
      const text = numberedCube(number)
      const lut = asLattice(text)
      if (lut.size > ocioLargest) continue
      const frame = testFrame(number)
      const file = join(folder, `${number}.cube`)
      writeFileSync(file, text)
      writeFileSync(join(folder, `${number}.rgb`), frame)
      for (const interpolation of interpolations) {
        const out = join(folder, `${number}.${interpolation}`)
        const size = { width: frameWidth, height: frameHeight }
        jobs.push(
          JSON.stringify({ lut: file, frame: join(folder, `${number}.rgb`), interpolation, out, ...size }),
        )
        pending.push({ lut, frame, interpolation, out })
      }
    }
    python.run([script], jobs.join('\n'))
    for (const { lut, frame, interpolation, out } of pending) {
      const theirs = pixels(readFileSync(out))
      const apart = largestDifference(ours(lut, frame, interpolation), theirs)
      worst[interpolation] = Math.max(worst[interpolation], apart)
    }
    return { luts: pending.length / 2, ...worst }
  })
}

/** LUTs `numbers` through ffmpeg's lut3d, all in one process, and through us. */
export function agreeWithFfmpeg(ffmpeg: ConsumerTool, numbers: readonly number[]): Agreement {
  return inFolder((folder) => {
    const luts = numbers.map((number) => {
      const text = numberedCube(number)
      writeFileSync(join(folder, `${number}.cube`), text)
      return asFfmpegReads(asLattice(text))
    })
    const frame = testFrame(numbers[0]!)
    const branches = interpolations.flatMap((interpolation) =>
      numbers.map((number) => `lut3d=file=${join(folder, `${number}.cube`)}:interp=${interpolation}`),
    )
    const graph = [
      `[0:v]split=${branches.length}${branches.map((_, i) => `[i${i}]`).join('')}`,
      ...branches.map((filter, i) => `[i${i}]${filter}[o${i}]`),
      `${branches.map((_, i) => `[o${i}]`).join('')}vstack=inputs=${branches.length},format=rgb48le`,
    ].join(';')
    const raw = ['-f', 'rawvideo', '-pix_fmt', 'rgb48le']
    const out = ffmpeg.run(
      [
        ...['-nostdin', '-hide_banner', '-loglevel', 'error', '-filter_complex_threads', '1', ...raw],
        ...['-s', `${frameWidth}x${frameHeight}`, '-i', 'pipe:0', '-filter_complex', graph, ...raw, 'pipe:1'],
      ],
      new Uint8Array(frame.buffer),
    )
    const all = pixels(out)
    const worst = { trilinear: 0, tetrahedral: 0 }
    interpolations.forEach((interpolation, group) => {
      luts.forEach((lut, i) => {
        const at = (group * luts.length + i) * frame.length
        const apart = largestDifference(ours(lut, frame, interpolation), all.subarray(at, at + frame.length))
        worst[interpolation] = Math.max(worst[interpolation], apart)
      })
    })
    return { luts: luts.length, ...worst }
  })
}

function pixels(bytes: Buffer): Uint16Array {
  return new Uint16Array(bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.length))
}
