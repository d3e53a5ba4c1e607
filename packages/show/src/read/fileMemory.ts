import { open, readFile } from 'node:fs/promises'

/** More than this is not kept for later: two frames are under way at once where no threads are. */
const mostKept = 2

/**
 * Memory that the bytes of files are read into, and that is used again for the next file. Memory that is new for
 * every frame has to be collected for every frame, which takes longer than to read its chart. One per thread and run: what it
 * holds is as large as the largest files.
 */
export class FileMemory {
  readonly #free: ArrayBuffer[] = []

  /**
   * A file's bytes. They are the caller's until they are given back.
   *
   * @throws what the file system does
   */
  async read(path: string): Promise<Uint8Array> {
    const file = await open(path)
    try {
      const { size } = await file.stat()
      // A pipe, or a file that is being written: its size tells nothing. Copied out of memory that Node shares.
      if (size === 0) return Uint8Array.from(await readFile(file))
      const bytes = new Uint8Array(this.#take(size), 0, size)
      let read = 0
      while (read < size) {
        const { bytesRead } = await file.read(bytes, read, size - read, read)
        if (bytesRead === 0) break
        read += bytesRead
      }
      return bytes.subarray(0, read)
    } finally {
      await file.close()
    }
  }

  /** Whoever has them must not look at them any more. */
  giveBack(bytes: Uint8Array): void {
    const { buffer } = bytes
    if (this.#free.length < mostKept && buffer instanceof ArrayBuffer) this.#free.push(buffer)
  }

  #take(size: number): ArrayBuffer {
    const at = this.#free.findIndex(({ byteLength }) => byteLength >= size)
    if (at >= 0) return this.#free.splice(at, 1)[0]!
    // One that was too small makes room; the next files are likely of this size and a little more.
    this.#free.shift()
    return new ArrayBuffer(Math.ceil(1.1 * size))
  }
}
