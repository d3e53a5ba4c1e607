import { log2 } from '@isochip/core'
import type { LatticeLut } from '../lut/lut.ts'
import { tetrahedralWasm } from './tetrahedralWasm.ts'

// WebAssembly and atob exist in every browser and in Node, but in no type library that both share; what of it is used here
// is described here, wherever this is compiled.
interface WebAssemblyGlobal {
  readonly Module: new (bytes: Uint8Array) => object
  readonly Memory: new (size: { initial: number }) => { readonly buffer: ArrayBuffer }
  readonly Instance: new (
    module: object,
    imports: object,
  ) => { readonly exports: Record<string, (...numbers: number[]) => void> }
}
declare const atob: (base64: string) => string
const { WebAssembly }: { readonly WebAssembly?: WebAssemblyGlobal } = Object(globalThis)

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
  if (WebAssembly === undefined) return undefined
  const { domainMin, domainMax } = lut
  const unit = top === 65535 && [0, 1, 2].every((c) => domainMin[c] === 0 && domainMax[c] === 1)
  try {
    const log = log2(lut.size - 1)
    return unit && log >= 1 && log <= 7 && Number.isInteger(log)
      ? wholeKernel(WebAssembly, lut, channels, log)
      : anyKernel(WebAssembly, lut, channels, top, unit)
  } catch {
    return undefined
  }
}

/** For the usual sizes on a domain 0…1: a lattice of fractions. */
function wholeKernel(
  wasm: WebAssemblyGlobal,
  { size, tableRedFastest }: LatticeLut,
  channels: 3 | 4,
  log: number,
): PixelKernel {
  const { exports, buffer, piece } = instantiate(wasm, size, channels)
  fillNodes(new Float32Array(buffer, 0, 4 * size * size * size), tableRedFastest, 1)
  // The packing cuts to 0…65535, but what it is given has to fit 22 bits and a sign: fractions between −64 and 64 do.
  const wide = tableRedFastest.some((value) => Math.abs(value) >= 64)
  const run = exports[`${wide ? 'wide' : 'whole'}${channels}`]!
  return inPieces((from, end) => run(from, end, log), buffer, piece, channels)
}

/** For any size, domain and top: a lattice of code values. */
function anyKernel(
  wasm: WebAssemblyGlobal,
  { size, domainMin, domainMax, tableRedFastest }: LatticeLut,
  channels: 3 | 4,
  top: number,
  unit: boolean,
): PixelKernel {
  const { exports, buffer, piece } = instantiate(wasm, size, channels)
  fillNodes(new Float32Array(buffer, 0, 4 * size * size * size), tableRedFastest, top)
  const unitRun = exports[`unit${channels}`]!
  if (unit) return inPieces((from, end) => unitRun(from, end, size), buffer, piece, channels)
  const run = exports[`any${channels}`]!
  const perInput = ([0, 1, 2] as const).map((c) => (size - 1) / (domainMax[c] - domainMin[c]))
  const scale = perInput.map((value) => value / top)
  const offset = perInput.map((value, c) => -domainMin[c]! * value)
  return inPieces((from, end) => run(from, end, size, top, ...scale, ...offset), buffer, piece, channels)
}

/** The kernels in a memory that holds the lattice, and after it a piece of a picture. */
function instantiate(wasm: WebAssemblyGlobal, size: number, channels: number) {
  const piece = 16 * size * size * size
  const memory = new wasm.Memory({ initial: Math.ceil((piece + 2 * channels * piecePixels + 64) / 65536) })
  const bytes = Uint8Array.from(atob(tetrahedralWasm), (char) => char.charCodeAt(0))
  const { exports } = new wasm.Instance(new wasm.Module(bytes), { env: { memory } })
  return { exports, buffer: memory.buffer, piece }
}

/** Four singles a node, so that a node is one load. */
function fillNodes(nodes: Float32Array, tableRedFastest: LatticeLut['tableRedFastest'], scale: number): void {
  for (let i = 0, j = 0; j < nodes.length; i += 3, j += 4) {
    nodes[j] = tableRedFastest[i]! * scale
    nodes[j + 1] = tableRedFastest[i + 1]! * scale
    nodes[j + 2] = tableRedFastest[i + 2]! * scale
  }
}

function inPieces(
  run: (from: number, end: number) => void,
  buffer: ArrayBuffer,
  piece: number,
  channels: number,
): PixelKernel {
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
