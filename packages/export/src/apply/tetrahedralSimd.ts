import type { LatticeLut } from '../lut/lut.ts'
import { kernelLayout, tetrahedralKernel } from './tetrahedralKernelCode.ts'
import { wasmModule } from './wasmAssembler.ts'

// WebAssembly exists in every browser and in Node, but in no type library that both share.
interface WebAssemblyGlobal {
  readonly Module: new (bytes: Uint8Array) => object
  readonly Memory: new (size: { initial: number }) => { readonly buffer: ArrayBuffer }
  readonly Instance: new (
    module: object,
    imports: object,
  ) => { readonly exports: Record<string, (from: number, end: number) => void> }
}
const { WebAssembly } = globalThis as { WebAssembly?: WebAssemblyGlobal }

/** Pixels that are worked on in one piece: few enough to stay in the cache. */
const piecePixels = 4096

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
 * The tetrahedral kernel in WebAssembly SIMD, or `undefined` where the engine has none (or a page's policy forbids
 * it): then take the JavaScript one.
 */
export function tetrahedralSimd(lut: LatticeLut, channels: 3 | 4, top: number): PixelKernel | undefined {
  if (WebAssembly === undefined) return undefined
  const { size, domainMin, domainMax, tableRedFastest } = lut
  const nodes = size ** 3
  const unit = top === 65535 && [0, 1, 2].every((c) => domainMin[c] === 0 && domainMax[c] === 1)
  const piece = kernelLayout.nodes + 16 * nodes
  const pieceBytes = 2 * channels * piecePixels
  let run: (from: number, end: number) => void
  let buffer: ArrayBuffer
  try {
    const memory = new WebAssembly.Memory({ initial: Math.ceil((piece + pieceBytes + 64) / 65536) })
    const module = new WebAssembly.Module(wasmModule([tetrahedralKernel(channels, unit)]))
    run = new WebAssembly.Instance(module, { env: { memory } }).exports.tetrahedral!
    buffer = memory.buffer
  } catch {
    return undefined
  }
  const doubles = new Float64Array(buffer, 0, 16)
  const ints = new Int32Array(buffer, 0, 32)
  const singles = new Float32Array(buffer, 0, 32)
  for (const c of [0, 1, 2] as const) {
    const perInput = (size - 1) / (domainMax[c] - domainMin[c])
    doubles[kernelLayout.scale / 8 + c] = perInput / top
    doubles[kernelLayout.offset / 8 + c] = -domainMin[c] * perInput
    ints[kernelLayout.step / 4 + c] = 16 * size ** c
  }
  doubles[kernelLayout.lastNode / 8] = size - 1
  ints[kernelLayout.lastCell / 4] = size - 2
  ints[kernelLayout.all / 4] = 16 * (1 + size + size * size)
  singles[kernelLayout.one / 4] = 1
  singles[kernelLayout.magic / 4] = 2 ** 23
  ints[kernelLayout.mask / 4] = 65535
  ints[kernelLayout.lastNodeInteger / 4] = size - 1
  ints[kernelLayout.oneInteger / 4] = 1
  singles[kernelLayout.perRemainder / 4] = 1 / 65535
  singles[kernelLayout.top / 4] = top
  const table = new Float32Array(buffer, kernelLayout.nodes, 4 * nodes)
  for (let i = 0, j = 0; j < table.length; i += 3, j += 4) {
    table[j] = tableRedFastest[i]! * top
    table[j + 1] = tableRedFastest[i + 1]! * top
    table[j + 2] = tableRedFastest[i + 2]! * top
  }
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
