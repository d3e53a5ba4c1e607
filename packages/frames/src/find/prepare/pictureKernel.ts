import { type KernelFunctions, type KernelMemory, kernelPage, startKernel } from '@isochip/core'
import { picturesWasm } from './picturesWasm.ts'

/** Work on pixels in WebAssembly SIMD (`kernel/pictures.ts`), a piece of a picture at a time. */
export class PictureKernel {
  readonly run: KernelFunctions
  readonly #memory: KernelMemory
  #singles = new Float32Array(0)

  constructor({ run, memory }: { readonly run: KernelFunctions; readonly memory: KernelMemory }) {
    this.run = run
    this.#memory = memory
  }

  /** Its memory, of so many singles at least; what was in it stays. */
  singles(count: number): Float32Array {
    const { buffer } = this.#memory
    if (buffer.byteLength < 4 * count)
      this.#memory.grow(Math.ceil((4 * count - buffer.byteLength) / kernelPage))
    // To grow takes the former buffer away.
    if (this.#singles.buffer !== this.#memory.buffer) this.#singles = new Float32Array(this.#memory.buffer)
    return this.#singles
  }

  /** The same memory as whole numbers; until it grows. */
  wholes(): Int32Array {
    return new Int32Array(this.#memory.buffer)
  }

  /** The same memory as bytes; until it grows. */
  bytes(): Uint8Array {
    return new Uint8Array(this.#memory.buffer)
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
    const kernel = startKernel(picturesWasm, kernelPage)
    made = kernel === undefined ? null : new PictureKernel(kernel)
  }
  return made
}
