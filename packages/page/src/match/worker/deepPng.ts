/** A PNG file’s picture: interleaved R′G′B′ codes, row by row. */
interface DeepPng {
  readonly width: number
  readonly height: number
  readonly data: Uint16Array
}

const bytesPerPixel = 6

/**
 * R′G′B′ of 16 bits a channel, not interlaced: what cameras and grading programs write. The browser inflates
 * with code of its own, and rows are unfiltered where they lie (PNG, third edition, clause 9).
 *
 * @returns `undefined` for a PNG of any other form, and for one that is not whole: the library reads it, or says what is wrong
 */
export async function deepPng(bytes: Uint8Array<ArrayBuffer>): Promise<DeepPng | undefined> {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength)
  // Signature, then IHDR: width, height, depth, colour type, compression, filter, interlace.
  if (bytes.length < 33 || bytes[24] !== 16 || bytes[25] !== 2 || bytes[28] !== 0) return undefined
  const [width, height] = [view.getUint32(16), view.getUint32(20)]
  const parts: Uint8Array<ArrayBuffer>[] = []
  for (let at = 8; ; ) {
    if (at + 12 > bytes.length) return undefined
    const [length, type] = [view.getUint32(at), view.getUint32(at + 4)]
    if (type === chunk.IEND) break
    if (at + 12 + length > bytes.length) return undefined
    if (type === chunk.IDAT) parts.push(bytes.subarray(at + 8, at + 8 + length))
    at += 12 + length
  }
  const rowBytes = bytesPerPixel * width
  const filtered = await inflated(parts, (rowBytes + 1) * height)
  if (filtered === undefined) return undefined
  const data = new Uint16Array(3 * width * height)
  for (let y = 0, to = 0; y < height; y++) {
    const row = y * (rowBytes + 1) + 1
    if (!unfilter(filtered, row, rowBytes, y === 0)) return undefined
    // Most significant byte first.
    for (let at = row; at < row + rowBytes; at += 2) data[to++] = (filtered[at]! << 8) | filtered[at + 1]!
  }
  return { width, height, data }
}

/** Names of chunks as numbers. */
const chunk = { IDAT: 0x49444154, IEND: 0x49454e44 }

/** `undefined` where it is not of that length, or does not have the sum that it names. */
async function inflated(
  parts: readonly Uint8Array<ArrayBuffer>[],
  length: number,
): Promise<Uint8Array | undefined> {
  const { readable, writable } = new DecompressionStream('deflate')
  const writer = writable.getWriter()
  const writing = (async () => {
    for (const part of parts) await writer.write(part)
    await writer.close()
  })()
  const out = new Uint8Array(length)
  let at = 0
  try {
    const reader = readable.getReader()
    for (;;) {
      const { done, value } = await reader.read()
      if (done) break
      // Also where it names few pixels and inflates without end.
      if (at + value.length > length) return undefined
      out.set(value, at)
      at += value.length
    }
    await writing
  } catch {
    return undefined
  } finally {
    // Where reading has stopped early, writing fails too.
    writing.catch(() => undefined)
    writer.abort().catch(() => undefined)
  }
  return at === length ? out : undefined
}

/**
 * Undoes the filter of the row that begins at `row`, in place, by the row before it; its kind stands before it. Left of a row and
 * above the first there are zeros. @returns is it of a kind that there is?
 */
function unfilter(bytes: Uint8Array, row: number, length: number, first: boolean): boolean {
  const end = row + length
  const above = length + 1
  const second = Math.min(row + bytesPerPixel, end)
  switch (bytes[row - 1]) {
    case 0:
      return true
    case 1:
      for (let i = second; i < end; i++) bytes[i]! += bytes[i - bytesPerPixel]!
      return true
    case 2:
      if (!first) for (let i = row; i < end; i++) bytes[i]! += bytes[i - above]!
      return true
    case 3:
      if (!first) for (let i = row; i < second; i++) bytes[i]! += bytes[i - above]! >> 1
      for (let i = second; i < end; i++)
        bytes[i]! += (bytes[i - bytesPerPixel]! + (first ? 0 : bytes[i - above]!)) >> 1
      return true
    case 4:
      // With nothing above it is the one on the left, with nothing on the left the one above.
      if (!first) for (let i = row; i < second; i++) bytes[i]! += bytes[i - above]!
      if (first) for (let i = second; i < end; i++) bytes[i]! += bytes[i - bytesPerPixel]!
      else
        for (let i = second; i < end; i++) {
          const left = bytes[i - bytesPerPixel]!
          const up = bytes[i - above]!
          const corner = bytes[i - above - bytesPerPixel]!
          const toLeft = Math.abs(up - corner)
          const toUp = Math.abs(left - corner)
          const toCorner = Math.abs(left + up - 2 * corner)
          bytes[i]! += toLeft <= toUp && toLeft <= toCorner ? left : toUp <= toCorner ? up : corner
        }
      return true
    default:
      return false
  }
}
