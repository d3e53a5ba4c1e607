import { type KernelFunctions, log2, startKernel } from '@isochip/core'
import type { LatticeLut } from '../lut/lut.ts'
import { tetrahedralWasm } from './tetrahedralWasm.ts'

/** Pixels that are worked on in one piece: few enough to stay in the cache. */
const piecePixels = 8192

/** A lattice ready for whole-number pixels. */
export interface PixelKernel {
  /** `count` pixels of `channels` samples from sample `from` of `source` → from sample `to` of `target`. */
  run(
    source: Uint8Array | Uint16Array,
    from: number,
    target: Uint8Array | Uint16Array,
    to: number,
    count: number,
  ): void
}

/**
 * The tetrahedral kernels in WebAssembly SIMD (`kernel/tetrahedral.ts`), or `undefined` where the engine has none (or a page's policy forbids
 * it): then take the JavaScript one.
 */
export function tetrahedralSimd(lut: LatticeLut, channels: 3 | 4, top: number): PixelKernel | undefined {
  const { size, domainMin, domainMax } = lut
  const piece = 16 * size * size * size
  const kernel = startKernel(tetrahedralWasm, piece + 2 * channels * piecePixels + 64)
  if (kernel === undefined) return undefined
  const { run, memory } = kernel
  const room: Room = { channels, buffer: memory.buffer, piece }
  const unit = top === 65535 && [0, 1, 2].every((c) => domainMin[c] === 0 && domainMax[c] === 1)
  const log = log2(size - 1)
  return unit && log >= 1 && log <= 7 && Number.isInteger(log)
    ? wholeKernel(run, room, lut, log)
    : anyKernel(run, room, lut, top, unit)
}

/** A memory that holds the lattice, and from byte `piece` on a piece of a picture. */
interface Room {
  readonly channels: 3 | 4
  readonly buffer: ArrayBuffer
  readonly piece: number
}

/** For the usual sizes on a domain 0…1: a lattice of fractions. */
function wholeKernel(
  kernels: KernelFunctions,
  room: Room,
  { size, tableRedFastest }: LatticeLut,
  log: number,
): PixelKernel {
  fillNodes(new Float32Array(room.buffer, 0, 4 * size * size * size), tableRedFastest, 1)
  // The packing cuts to 0…65535, but what it is given has to fit 22 bits and a sign: fractions between −64 and 64 do.
  const wide = tableRedFastest.some((value) => Math.abs(value) >= 64)
  const run = kernels[`${wide ? 'wide' : 'whole'}${room.channels}`]!
  return inPieces((from, end) => run(from, end, log), room)
}

/** For any size, domain and top: a lattice of code values. */
function anyKernel(
  kernels: KernelFunctions,
  room: Room,
  { size, domainMin, domainMax, tableRedFastest }: LatticeLut,
  top: number,
  unit: boolean,
): PixelKernel {
  fillNodes(new Float32Array(room.buffer, 0, 4 * size * size * size), tableRedFastest, top)
  const unitRun = kernels[`unit${room.channels}`]!
  if (unit) return inPieces((from, end) => unitRun(from, end, size), room)
  const run = kernels[`any${room.channels}`]!
  const perInput = ([0, 1, 2] as const).map((c) => (size - 1) / (domainMax[c] - domainMin[c]))
  const scale = perInput.map((value) => value / top)
  const offset = perInput.map((value, c) => -domainMin[c]! * value)
  return inPieces((from, end) => run(from, end, size, top, ...scale, ...offset), room)
}

/** Four singles a node, so that a node is one load. */
function fillNodes(nodes: Float32Array, tableRedFastest: LatticeLut['tableRedFastest'], scale: number): void {
  for (let i = 0, j = 0; j < nodes.length; i += 3, j += 4) {
    nodes[j] = tableRedFastest[i]! * scale
    nodes[j + 1] = tableRedFastest[i + 1]! * scale
    nodes[j + 2] = tableRedFastest[i + 2]! * scale
  }
}

function inPieces(run: (from: number, end: number) => void, { buffer, piece, channels }: Room): PixelKernel {
  const samples = new Uint16Array(buffer, piece, channels * piecePixels)
  return {
    run(source, from, target, to, count) {
      for (let done = 0; done < count; done += piecePixels) {
        const pixels = Math.min(piecePixels, count - done)
        const length = channels * pixels
        const at = channels * done
        samples.set(source.subarray(from + at, from + at + length))
        run(piece, piece + 2 * length)
        target.set(length === samples.length ? samples : samples.subarray(0, length), to + at)
      }
    },
  }
}
