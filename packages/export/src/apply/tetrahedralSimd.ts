import type { LatticeLut } from '../lut/lut.ts'
import { kernelLayout, tetrahedralKernel } from './tetrahedralKernelCode.ts'
import { tetrahedralWholeKernel } from './tetrahedralWholeCode.ts'
import { type WasmFunction, wasmModule } from './wasmAssembler.ts'

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
 * The tetrahedral kernel in WebAssembly SIMD, or `undefined` where the engine has none (or a page's policy forbids
 * it): then take the JavaScript one.
 */
export function tetrahedralSimd(lut: LatticeLut, channels: 3 | 4, top: number): PixelKernel | undefined {
  if (WebAssembly === undefined) return undefined
  const { domainMin, domainMax } = lut
  const unit = top === 65535 && [0, 1, 2].every((c) => domainMin[c] === 0 && domainMax[c] === 1)
  try {
    const log = Math.log2(lut.size - 1)
    return unit && log >= 1 && log <= 7 && Number.isInteger(log)
      ? wholeKernel(WebAssembly, lut, channels, log)
      : anyKernel(WebAssembly, lut, channels, top, unit)
  } catch {
    return undefined
  }
}

/** For the usual sizes on a domain 0…1: see `tetrahedralWholeKernel`. */
function wholeKernel(
  wasm: WebAssemblyGlobal,
  { size, tableRedFastest }: LatticeLut,
  channels: 3 | 4,
  log: number,
): PixelKernel {
  const cut = { low: false, high: false }
  for (const value of tableRedFastest) {
    if (value <= -64) cut.low = true
    else if (value >= 64) cut.high = true
  }
  const code = tetrahedralWholeKernel({ channels, log, nodes: 0, ...cut })
  const { run, buffer, piece } = instantiate(wasm, code, 0, size, channels)
  fillNodes(new Float32Array(buffer, 0, 4 * size ** 3), tableRedFastest, 1)
  return inPieces(run, buffer, piece, channels)
}

/** For any size, domain and top. */
function anyKernel(
  wasm: WebAssemblyGlobal,
  { size, domainMin, domainMax, tableRedFastest }: LatticeLut,
  channels: 3 | 4,
  top: number,
  unit: boolean,
): PixelKernel {
  const code = tetrahedralKernel(channels, unit)
  const { run, buffer, piece } = instantiate(wasm, code, kernelLayout.nodes, size, channels)
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
  fillNodes(new Float32Array(buffer, kernelLayout.nodes, 4 * size ** 3), tableRedFastest, top)
  return inPieces(run, buffer, piece, channels)
}

/** A kernel in a memory that holds the lattice from byte `nodes`, and behind it a piece of a picture. */
function instantiate(
  wasm: WebAssemblyGlobal,
  code: WasmFunction,
  nodes: number,
  size: number,
  channels: number,
) {
  const piece = nodes + 16 * size ** 3
  const memory = new wasm.Memory({ initial: Math.ceil((piece + 2 * channels * piecePixels + 64) / 65536) })
  const instance = new wasm.Instance(new wasm.Module(wasmModule([code])), { env: { memory } })
  return { run: instance.exports.tetrahedral!, buffer: memory.buffer, piece }
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
