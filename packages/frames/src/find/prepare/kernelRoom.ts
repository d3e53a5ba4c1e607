import type { PictureKernel } from './pictureKernel.ts'

/** Lists in the kernel's memory, one behind the other. What is placed or taken before the memory is used by others is theirs. */
export class KernelRoom {
  readonly #kernel: PictureKernel
  #end: number

  /** @param from where it begins, bytes; a multiple of 16 */
  constructor(kernel: PictureKernel, from = 0) {
    this.#kernel = kernel
    this.#end = from
  }

  /** @returns where so many bytes begin, a multiple of 16; at least 16 more are behind them, since vectors reach beyond an end */
  take(bytes: number): number {
    const at = this.#end
    this.#end += 16 * Math.ceil(bytes / 16) + 16
    this.#kernel.singles(this.#end / 4)
    return at
  }

  /** @returns where a copy begins, bytes */
  place(values: Int32Array | Float32Array | Float64Array): number {
    const at = this.take(values.byteLength)
    this.#kernel.bytes().set(new Uint8Array(values.buffer, values.byteOffset, values.byteLength), at)
    return at
  }
}
