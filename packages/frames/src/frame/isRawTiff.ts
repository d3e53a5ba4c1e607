/** Bytes of a file from a place on; fewer at its end. */
export type ReadAt = (at: number, length: number) => Promise<Uint8Array>

const tags = {
  compression: 259,
  photometric: 262,
  subDirectories: 330,
  filterPatternSize: 33421,
  filterPattern: 33422,
  dngVersion: 50706,
}

/** PhotometricInterpretation of samples behind a colour filter array (TIFF/EP), and of linear ones (DNG). */
const rawPhotometrics = [32803, 34892]
/** Compression that is used for the sensor's samples alone; makers registered them, no document lists them all. */
const rawCompressions = [32767, 32769, 32770, 32771, 32772, 34713, 65000, 65535]

/** Directories that are looked at: a raw file has a preview or two beside its picture. */
const mostDirectories = 32
const mostEntries = 1024

/**
 * Is a TIFF camera raw: a DNG, or with a directory whose samples lie behind a colour filter array? Its first directory is
 * a preview as a rule, which looks like any other picture.
 */
export async function isRawTiff(read: ReadAt): Promise<boolean> {
  const head = await read(0, 16)
  if (head.length < 8) return false
  const little = head[0] === 0x49
  const view = (bytes: Uint8Array) => new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength)
  const big = view(head).getUint16(2, little) === 43
  if (big && head.length < 16) return false
  // Of numbers of 8 bytes those that a file can have fit a double.
  const offset = (bytes: Uint8Array, at: number) =>
    big ? Number(view(bytes).getBigUint64(at, little)) : view(bytes).getUint32(at, little)
  const entrySize = big ? 20 : 12
  const countSize = big ? 8 : 2
  const word = big ? 8 : 4
  const waiting = [offset(head, big ? 8 : 4)]
  const seen = new Set<number>()
  for (let at = waiting.shift(); at !== undefined && seen.size < mostDirectories; at = waiting.shift()) {
    if (at === 0 || seen.has(at)) continue
    seen.add(at)
    const counted = await read(at, countSize)
    if (counted.length < countSize) continue
    const count = Math.min(big ? offset(counted, 0) : view(counted).getUint16(0, little), mostEntries)
    const bytes = await read(at + countSize, count * entrySize + word)
    for (let entry = 0; entry + entrySize <= bytes.length && entry < count * entrySize; entry += entrySize) {
      const tag = view(bytes).getUint16(entry, little)
      const type = view(bytes).getUint16(entry + 2, little)
      const values = offset(bytes, entry + 4)
      const value = entry + 4 + word
      if (tag === tags.dngVersion || tag === tags.filterPatternSize || tag === tags.filterPattern) return true
      // A single short stands in the entry itself.
      const short = type === 3 && values === 1 ? view(bytes).getUint16(value, little) : undefined
      if (short !== undefined && tag === tags.photometric && rawPhotometrics.includes(short)) return true
      if (short !== undefined && tag === tags.compression && rawCompressions.includes(short)) return true
      if (tag !== tags.subDirectories || values > mostDirectories) continue
      if (values === 1) waiting.push(offset(bytes, value))
      else {
        const list = await read(offset(bytes, value), word * values)
        for (let i = 0; i + word <= list.length; i += word) waiting.push(offset(list, i))
      }
    }
    if (bytes.length === count * entrySize + word) waiting.push(offset(bytes, count * entrySize))
  }
  return false
}
