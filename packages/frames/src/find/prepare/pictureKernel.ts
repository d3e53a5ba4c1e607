import { picturesWasm } from './picturesWasm.ts'

// WebAssembly and atob exist in every browser and in Node, but in no type library that both share; what of it is used here
// is described here, wherever this is compiled.
interface Memory {
  readonly buffer: ArrayBuffer
  grow(pages: number): number
}
interface WebAssemblyGlobal {
  readonly Module: new (bytes: Uint8Array) => object
  readonly Memory: new (size: { initial: number }) => Memory
  readonly Instance: new (
    module: object,
    imports: object,
  ) => { readonly exports: Record<string, (...numbers: number[]) => void> }
}
declare const atob: (base64: string) => string
const { WebAssembly }: { readonly WebAssembly?: WebAssemblyGlobal } = Object(globalThis)

const page = 65536

/** Work on pixels in WebAssembly SIMD (`kernel/pictures.ts`), a piece of a picture at a time. */
export class PictureKernel {
  readonly run: Readonly<Record<string, (...numbers: number[]) => void>>
  readonly #memory: Memory
  #singles = new Float32Array(0)

  constructor(wasm: WebAssemblyGlobal) {
    this.#memory = new wasm.Memory({ initial: 1 })
    const bytes = Uint8Array.from(atob(picturesWasm), (char) => char.charCodeAt(0))
    this.run = new wasm.Instance(new wasm.Module(bytes), { env: { memory: this.#memory } }).exports
  }

  /** Its memory, of so many singles at least; what was in it stays. */
  singles(count: number): Float32Array {
    const { buffer } = this.#memory
    if (buffer.byteLength < 4 * count) this.#memory.grow(Math.ceil((4 * count - buffer.byteLength) / page))
    // To grow takes the former buffer away.
    if (this.#singles.buffer !== this.#memory.buffer) this.#singles = new Float32Array(this.#memory.buffer)
    return this.#singles
  }
}

let made: PictureKernel | null | undefined

/**
 * The one of this thread: it keeps nothing from one call to the next.
 *
 * @returns `null` where the engine has no SIMD, or a page's policy forbids WebAssembly: then take the JavaScript that
 *   gives the same bytes
 */
export function pictureKernel(): PictureKernel | null {
  if (made === undefined) {
    try {
      made = WebAssembly === undefined ? null : new PictureKernel(WebAssembly)
    } catch {
      made = null
    }
  }
  return made
}
