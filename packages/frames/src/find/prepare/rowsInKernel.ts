import type { Frame } from '../../frame/frame.ts'
import type { PictureKernel } from './pictureKernel.ts'

/** Room for one row of a frame in the kernel's memory, and for the sums of what comes of it (`kernel/shrink.ts`). */
export class RowsInKernel {
  /** Where the row is as singles, and where the sums are, four doubles to a pixel, all 0 at first; bytes. */
  readonly row: number
  readonly sums: number
  readonly #kernel: PictureKernel
  readonly #raw: number
  #end = 0

  /**
   * @param width of the row, pixels
   * @param columns of the sums
   */
  constructor(kernel: PictureKernel, width: number, columns: number) {
    this.#kernel = kernel
    // Vectors reach beyond the ends.
    this.#raw = this.place(new Uint8Array(12 * width + 16))
    this.row = this.place(new Uint8Array(12 * width + 16))
    this.sums = this.place(new Float64Array(4 * columns))
  }

  /** @returns where a copy is in the memory, bytes */
  place(values: Uint8Array | Int32Array | Float32Array | Float64Array): number {
    const at = this.#end
    this.#end += 16 * Math.ceil(values.byteLength / 16)
    this.#kernel.singles(this.#end / 4)
    this.#kernel.bytes().set(new Uint8Array(values.buffer), at)
    return at
  }

  /** The next row. */
  take(samples: Frame['data']): void {
    const { buffer, byteOffset, byteLength, length } = samples
    this.#kernel.bytes().set(new Uint8Array(buffer, byteOffset, byteLength), this.#raw)
    this.#kernel.run.widen!(this.#raw, this.row, length, byteLength / length)
  }
}
