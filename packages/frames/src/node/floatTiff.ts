import type { Frame } from '../frame/frame.ts'

/*
 * TIFF 6.0, little-endian, one strip of 32-bit IEEE floats, RGB interleaved. The library that writes the other files
 * converts floats on their way, so this one is written by hand.
 *
 *   0  "II" 42, offset of the directory = 8
 *   8  directory: count, 12 bytes an entry (tag, type, count, value or offset), 0
 *      BitsPerSample and SampleFormat take three values each, after the directory; then the samples
 */

const short = 3
const long = 4

/** @param frame RGB floats */
export function floatTiff(frame: Frame & { readonly data: Float32Array }): Uint8Array {
  const { width, height, data } = frame
  const entries: [tag: number, type: number, count: number, value: number][] = [
    [256, long, 1, width],
    [257, long, 1, height],
    [258, short, 3, 0], // BitsPerSample, offset set below
    [259, short, 1, 1], // not compressed
    [262, short, 1, 2], // RGB
    [273, long, 1, 0], // StripOffsets, set below
    [277, short, 1, 3],
    [278, long, 1, height],
    [279, long, 1, data.byteLength],
    [284, short, 1, 1], // interleaved
    [339, short, 3, 0], // SampleFormat, offset set below
  ]
  const after = 8 + 2 + 12 * entries.length + 4
  const samplesAt = after + 12
  entries[2]![3] = after
  entries[10]![3] = after + 6
  entries[5]![3] = samplesAt
  const bytes = new Uint8Array(samplesAt + data.byteLength)
  const out = new DataView(bytes.buffer)
  bytes.set([0x49, 0x49, 42, 0, 8, 0, 0, 0])
  out.setUint16(8, entries.length, true)
  entries.forEach(([tag, type, count, value], i) => {
    const at = 10 + 12 * i
    out.setUint16(at, tag, true)
    out.setUint16(at + 2, type, true)
    out.setUint32(at + 4, count, true)
    out.setUint32(at + 8, value, true)
  })
  for (let i = 0; i < 3; i++) {
    out.setUint16(after + 2 * i, 32, true)
    out.setUint16(after + 6 + 2 * i, 3, true) // IEEE floating point
  }
  for (let i = 0; i < data.length; i++) out.setFloat32(samplesAt + 4 * i, data[i]!, true)
  return bytes
}
