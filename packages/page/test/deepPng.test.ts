import { deflateSync } from 'node:zlib'
import { seededRandom } from '@isochip/core'
import { decodeFrame } from '@isochip/frames/node'
import { expect, it } from 'vitest'
import { pngBytes, pngChunk } from '../../../test/support/pngBytes.ts'
import { deepPng } from '../src/match/worker/deepPng.ts'

/** Any bytes are a filtered picture: each row begins with its kind of filter. @param cut where the data are divided into chunks */
function png(
  width: number,
  height: number,
  kinds: (y: number) => number,
  cut = 100,
): Uint8Array<ArrayBuffer> {
  const random = seededRandom(7)
  const rows = Buffer.alloc((6 * width + 1) * height, 0).map((_, i) => {
    const y = Math.floor(i / (6 * width + 1))
    return i % (6 * width + 1) === 0 ? kinds(y) : Math.floor(256 * random())
  })
  const data = deflateSync(rows)
  const parts = [data.subarray(0, cut), data.subarray(cut)]
  return Uint8Array.from(
    pngBytes(
      width,
      height,
      16,
      parts.map((part) => pngChunk('IDAT', part)),
    ),
  )
}

/** By libvips and libpng. */
const reference = async (bytes: Uint8Array) => (await decodeFrame(bytes)).data

it('every filter, on the first row and after every other, reads as libpng reads it', async () => {
  for (const first of [0, 1, 2, 3, 4]) {
    // 25 pairs of neighbours in 5 files: 0…4 in steps of one to five.
    const bytes = png(7, 26, (y) => (first + y * (1 + Math.floor(y / 5))) % 5)
    const mine = await deepPng(bytes)
    expect([mine!.width, mine!.height]).toEqual([7, 26])
    expect(mine!.data).toEqual(await reference(bytes))
  }
  const narrow = png(1, 9, (y) => y % 5, 3)
  expect((await deepPng(narrow))!.data).toEqual(await reference(narrow))
})

it('what it does not know and what is not whole it leaves to others', async () => {
  const bytes = png(9, 9, () => 4)
  const changed = (at: number, value: number) => bytes.map((byte, i) => (i === at ? value : byte))
  // Eight bits; with alpha; interlaced; a height that the data have not; a byte of them changed; an unknown filter.
  for (const other of [
    changed(24, 8),
    changed(25, 6),
    changed(28, 1),
    changed(23, 8),
    changed(23, 10),
    changed(90, bytes[90]! ^ 1),
    png(9, 9, () => 5),
  ])
    expect(await deepPng(other)).toBeUndefined()
  for (const length of [20, 40, 200, bytes.length - 12])
    expect(await deepPng(bytes.slice(0, length))).toBeUndefined()
})
