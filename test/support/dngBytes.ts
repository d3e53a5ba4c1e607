/*
 * A DNG as a camera writes it (TIFF 6.0, TIFF/EP, DNG specification 1.4): the first directory is a small preview, a
 * directory below it holds the sensor's samples behind a colour filter array.
 */

export interface DngPicture {
  readonly width: number
  readonly height: number
  /** Sensor code at a pixel; the filter is R G / G B from the top left. */
  readonly code: (x: number, y: number) => number
  readonly black: number
  readonly white: number
  /** EXIF orientation. Default 1. */
  readonly orientation?: number
  readonly bigEndian?: boolean
}

const byte = 1
const ascii = 2
const short = 3
const long = 4
const rational = 5
const signedRational = 10
const sizes: Record<number, number> = { 1: 1, 2: 1, 3: 2, 4: 4, 5: 8, 10: 8 }

type Entry = readonly [tag: number, type: number, values: readonly number[]]

/** Pixels a side of the preview, which is red all over. */
const previewSide = 16

export function dngBytes(picture: DngPicture): Buffer {
  const { width, height, code, black, white, orientation = 1, bigEndian = false } = picture
  const put16 = (to: Buffer, value: number, at: number) =>
    bigEndian ? to.writeUInt16BE(value, at) : to.writeUInt16LE(value, at)
  const put32 = (to: Buffer, value: number, at: number) =>
    bigEndian ? to.writeUInt32BE(value >>> 0, at) : to.writeUInt32LE(value >>> 0, at)
  const values = (type: number, list: readonly number[]): Buffer => {
    const out = Buffer.alloc(sizes[type]! * list.length)
    list.forEach((value, i) => {
      if (type === byte || type === ascii) out[i] = value
      else if (type === short) put16(out, value, 2 * i)
      else if (type === long) put32(out, value, 4 * i)
      else {
        put32(out, Math.round(10_000 * value), 8 * i)
        put32(out, 10_000, 8 * i + 4)
      }
    })
    return out
  }
  /** A directory that stands at a place, with the values that do not fit its entries behind it. */
  const directory = (entries: readonly Entry[], place: number): Buffer => {
    const head = Buffer.alloc(2 + 12 * entries.length + 4)
    put16(head, entries.length, 0)
    const behind: Buffer[] = []
    let next = place + head.length
    entries.forEach(([tag, type, list], i) => {
      const at = 2 + 12 * i
      const bytes = values(type, list)
      put16(head, tag, at)
      put16(head, type, at + 2)
      put32(head, list.length, at + 4)
      if (bytes.length <= 4) {
        bytes.copy(head, at + 8)
        return
      }
      put32(head, next, at + 8)
      const even = Buffer.concat([bytes, Buffer.alloc(bytes.length % 2)])
      behind.push(even)
      next += even.length
    })
    return Buffer.concat([head, ...behind])
  }
  const text = (words: string) => [...Buffer.from(`${words}\0`)]

  const preview = Buffer.alloc(3 * previewSide ** 2)
  for (let i = 0; i < preview.length; i += 3) preview[i] = 200
  const sensor = Buffer.alloc(2 * width * height)
  for (let y = 0; y < height; y++)
    for (let x = 0; x < width; x++) put16(sensor, code(x, y), 2 * (y * width + x))

  const first = (below: number, strip: number): Entry[] => [
    [254, long, [1]],
    [256, long, [previewSide]],
    [257, long, [previewSide]],
    [258, short, [8, 8, 8]],
    [259, short, [1]],
    [262, short, [2]],
    [271, ascii, text('Invented')],
    [272, ascii, text('One')],
    [273, long, [strip]],
    [274, short, [orientation]],
    [277, short, [3]],
    [278, long, [previewSide]],
    [279, long, [preview.length]],
    [330, long, [below]],
    [50706, byte, [1, 4, 0, 0]],
    [50708, ascii, text('Invented One')],
    [50721, signedRational, [0.9, -0.2, -0.1, -0.4, 1.2, 0.2, -0.1, 0.2, 0.6]],
    // White balance that must not be applied.
    [50728, rational, [0.5, 1, 0.6]],
    [50778, short, [21]],
  ]
  const main = (strip: number): Entry[] => [
    [254, long, [0]],
    [256, long, [width]],
    [257, long, [height]],
    [258, short, [16]],
    [259, short, [1]],
    [262, short, [32803]],
    [273, long, [strip]],
    [277, short, [1]],
    [278, long, [height]],
    [279, long, [sensor.length]],
    [33421, short, [2, 2]],
    [33422, byte, [0, 1, 1, 2]],
    [50714, short, [black]],
    [50717, long, [white]],
  ]
  const begin = 8
  const below = begin + directory(first(0, 0), begin).length
  const previewAt = below + directory(main(0), below).length
  const sensorAt = previewAt + preview.length
  const header = Buffer.from(bigEndian ? [0x4d, 0x4d, 0, 42, 0, 0, 0, 8] : [0x49, 0x49, 42, 0, 8, 0, 0, 0])
  return Buffer.concat([
    header,
    directory(first(below, previewAt), begin),
    directory(main(sensorAt), below),
    preview,
    sensor,
  ])
}
