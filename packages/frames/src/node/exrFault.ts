/*
 * OpenEXR, as far as it takes to refuse what ffmpeg would read wrongly without a word: files cut off, and the DWA
 * compressions.
 *
 *   0  magic 76 2f 31 01, version and flags (4 bytes)
 *   8  attributes: name \0 type \0 size (4 bytes) value; an empty name ends them
 *      offsets of the chunks, 8 bytes each; a chunk: y (4 bytes), size (4 bytes), data
 */

const tiled = 0x200
const multiPart = 0x1000

/** Scan lines in a chunk, by the number of the compression: none, RLE, ZIPS, ZIP, PIZ, PXR24, B44, B44A. */
const linesPerChunk = [1, 1, 1, 16, 32, 16, 32, 32]

/** What is wrong with an OpenEXR file; `undefined` when nothing is. */
export function exrFault(bytes: Buffer): string | undefined {
  if (bytes.length < 16) return 'the file ends within its header'
  const flags = bytes.readUInt32LE(4)
  let at = 8
  let compression: number | undefined
  let window: readonly [number, number] | undefined
  for (;;) {
    const nameEnd = bytes.indexOf(0, at)
    if (nameEnd < 0) return 'the file ends within its header'
    const name = bytes.toString('latin1', at, nameEnd)
    if (name === '') {
      at = nameEnd + 1
      break
    }
    const typeEnd = bytes.indexOf(0, nameEnd + 1)
    if (typeEnd < 0 || typeEnd + 5 > bytes.length) return 'the file ends within its header'
    const size = bytes.readUInt32LE(typeEnd + 1)
    const value = typeEnd + 5
    if (value + size > bytes.length) return 'the file ends within its header'
    if (name === 'compression') compression = bytes[value]!
    if (name === 'dataWindow') window = [bytes.readInt32LE(value + 4), bytes.readInt32LE(value + 12)]
    at = value + size
  }
  if (compression === undefined || window === undefined)
    return 'the header has no compression or no data window'
  if (compression > 7) return 'DWA compression, which loses detail and is not read exactly'
  if ((flags & multiPart) !== 0) return 'several parts in one file'
  // A tiled file's table depends on its tile levels; the decoder's own byte count has to do there.
  if ((flags & tiled) !== 0) return undefined
  const chunks = Math.ceil((window[1] - window[0] + 1) / linesPerChunk[compression]!)
  if (!(chunks > 0) || at + 8 * chunks > bytes.length) return 'the file ends within its table of chunks'
  for (let k = 0; k < chunks; k++) {
    const offset = Number(bytes.readBigUInt64LE(at + 8 * k))
    if (offset < at + 8 * chunks || offset + 8 > bytes.length) return `chunk ${k + 1} of ${chunks} is missing`
    if (offset + 8 + bytes.readUInt32LE(offset + 4) > bytes.length)
      return `chunk ${k + 1} of ${chunks} is cut off`
  }
  return undefined
}
