import type { Frame } from '../../frame/frame.ts'
import { KernelRoom } from './kernelRoom.ts'
import type { PictureKernel } from './pictureKernel.ts'

/** Room for one row of a frame in the kernel's memory, and for the sums of what comes of it (`kernel/shrink.ts`). */
export class RowsInKernel {
  readonly room: KernelRoom
  /** Where the row is as singles, and where the sums are, doubles, all 0 at first; bytes. */
  readonly row: number
  readonly sums: number
  readonly #kernel: PictureKernel
  readonly #raw: number

  /**
   * @param width of the row, pixels
   * @param columns of the sums
   */
  constructor(kernel: PictureKernel, width: number, columns: number) {
    this.#kernel = kernel
    this.room = new KernelRoom(kernel)
    this.#raw = this.room.take(12 * width)
    this.row = this.room.take(12 * width)
    this.sums = this.room.place(new Float64Array(3 * columns + 4))
  }

  /** The next row. */
  take(samples: Frame['data']): void {
    const { buffer, byteOffset, byteLength, BYTES_PER_ELEMENT, length } = samples
    this.#kernel.bytes().set(new Uint8Array(buffer, byteOffset, byteLength), this.#raw)
    this.#kernel.run.widen!(this.#raw, this.row, length, BYTES_PER_ELEMENT)
  }
}
