import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import sharp from 'sharp'
import { afterAll, describe, expect, it } from 'vitest'
import { consumer } from '../../../test/support/consumer.ts'
import { type DngPicture, dngBytes } from '../../../test/support/dngBytes.ts'
import { colourTags, decodeFrame, decodeRaw, fileFormat } from '../src/node.ts'

const folder = mkdtempSync(join(tmpdir(), 'raw-'))
afterAll(() => {
  rmSync(folder, { recursive: true })
})

const [black, white] = [64, 4095]
/** What the sensor counts: red grows over the picture, and the two greens of a cell differ. */
const counts = {
  red: (x: number) => 300 + 10 * Math.floor(x / 16),
  green: [2000, 2010],
  blue: 500,
}
const picture: DngPicture = {
  width: 256,
  height: 128,
  black,
  white,
  code: (x, y) => {
    if (y % 2 === 0) return x % 2 === 0 ? counts.red(x) : counts.green[0]!
    return x % 2 === 0 ? counts.green[1]! : counts.blue
  },
}

function file(name: string, bytes: Uint8Array): string {
  const path = join(folder, name)
  writeFileSync(path, bytes)
  return path
}

/** DNG specification, chapter 5: linear from the black level, 0, to the white level, 1. */
const level = (count: number) => (count - black) / (white - black)
/** Both greens of a cell are rounded down to 16 bits, and their mean is. */
const codes = 2.01

consumer('libraw').describe('decodeRaw', () => {
  it.each([
    ['little-endian', false],
    ['big-endian', true],
  ])(
    'gives the light of the sensor, from black to white level, at half the size: %s',
    async (_, bigEndian) => {
      const path = file(`plain-${bigEndian}.dng`, dngBytes({ ...picture, bigEndian }))
      const { width, height, bits, data, linear, warnings } = await decodeFrame(path)
      expect({ width, height, bits, linear, warnings }).toEqual({
        width: 128,
        height: 64,
        bits: 16,
        linear: true,
        warnings: [],
      })
      for (let y = 0; y < height; y++) {
        for (let x = 0; x < width; x++) {
          const at = 3 * (y * width + x)
          const expected = [counts.red(2 * x), (counts.green[0]! + counts.green[1]!) / 2, counts.blue]
          for (const [c, count] of expected.entries())
            expect(Math.abs(data[at + c]! - 65535 * level(count))).toBeLessThan(codes)
        }
      }
    },
  )

  it('takes the white level for full, also where nothing in the picture comes near it, and clips there', async () => {
    const code = (x: number) => (x < 128 ? white + 50 : 3500)
    const { data, width } = await decodeRaw(file('bright.dng', dngBytes({ ...picture, code })))
    expect([...data.subarray(0, 3)]).toEqual([65535, 65535, 65535])
    for (const sample of data.subarray(3 * (width - 1), 3 * width))
      expect(Math.abs(sample - 65535 * level(3500))).toBeLessThan(codes)
  })

  it('keeps pixels as stored where the file asks to be turned, and says so', async () => {
    const frame = await decodeRaw(file('turned.dng', dngBytes({ ...picture, orientation: 6 })))
    expect([frame.width, frame.height]).toEqual([128, 64])
    expect(frame.warnings.map(({ code }) => code)).toEqual(['orientation-kept'])
  })

  it('is cut off: says so, and gives no picture', async () => {
    const whole = dngBytes(picture)
    await expect(decodeRaw(file('cut.dng', whole.subarray(0, whole.length - 4000)))).rejects.toThrow(
      /LibRaw cannot read all of it: .*end of file/i,
    )
  })

  it('is of a kind that LibRaw does not know: that, and never the preview', async () => {
    const bytes = dngBytes(picture)
    // A compression that nobody has (TIFF tag 259), in the directory of the sensor's samples.
    const tag = Buffer.from([0x03, 0x01, 3, 0, 1, 0, 0, 0, 1, 0, 0, 0])
    const at = bytes.lastIndexOf(tag)
    bytes.writeUInt16LE(31999, at + 8)
    await expect(decodeFrame(file('unknown.dng', bytes))).rejects.toMatchObject({ code: 'frame-unreadable' })
    const other = file('other.raf', Buffer.concat([Buffer.from('--------CCD-RAW '), Buffer.alloc(4000)]))
    await expect(decodeFrame(other)).rejects.toThrow(/kind that LibRaw does not know; its preview is not/)
  })

  it('is opened by no other name than its own', async () => {
    const path = file("-a $(touch x) '%04d.dng", dngBytes(picture))
    expect((await decodeFrame(path)).width).toBe(128)
  })
})

describe('camera raw without LibRaw', () => {
  it('names what to install', async () => {
    const path = file('alone.dng', dngBytes(picture))
    await expect(decodeRaw(path, { identify: 'no-such-program' })).rejects.toMatchObject({
      code: 'tool-missing',
      hint: expect.stringMatching(/LibRaw.*libraw-bin/),
    })
  })
})

describe('what is camera raw, by its content', () => {
  it('a DNG whatever its name, and bytes that are to be read from a path', async () => {
    const path = file('named.tif', dngBytes(picture))
    expect(await fileFormat(path)).toBe('raw')
    await expect(decodeFrame(dngBytes(picture), { file: 'x.tif' })).rejects.toThrow(
      /camera raw is read from a path/,
    )
  })

  it('a TIFF with samples behind a filter, also without the marks of a DNG', async () => {
    const bytes = dngBytes(picture)
    // TIFF/EP alone: the tags of DNG become private ones that nobody knows.
    for (const tag of [50706, 50708, 50714, 50717, 50721, 50728, 50778]) {
      const at = bytes.indexOf(Buffer.from([tag & 255, tag >> 8]))
      bytes.writeUInt16LE(60000, at)
    }
    expect(await fileFormat(file('ep.tif', bytes))).toBe('raw')
  })

  // First bytes as libmagic and the formats' descriptions have them (from memory).
  it.each([
    ['II*\0\x10\0\0\0CR\x02\0', 'raw'],
    ['IIRO\x08\0\0\0', 'raw'],
    ['IIU\0\x18\0\0\0', 'raw'],
    ['\0\0\0\x18ftypcrx \0\0\0\x01', 'raw'],
    ['\0\0\0\x18ftypqt  \0\0\0\x01', 'movie'],
  ])('%j is %s', async (start, format) => {
    const path = file('start', Buffer.concat([Buffer.from(start, 'latin1'), Buffer.alloc(64)]))
    expect(await fileFormat(path)).toBe(format)
  })

  it('not a TIFF that was developed, with any number of pages', async () => {
    const rgb = { create: { width: 8, height: 8, channels: 3, background: '#456' } } as const
    const path = file('developed.tif', await sharp(rgb).tiff().toBuffer())
    expect(await fileFormat(path)).toBe('tiff')
    expect(await colourTags(path)).toBeUndefined()
  })

  it('not a directory that leads back to itself, or out of the file', async () => {
    const loop = Buffer.from('II*\0\x08\0\0\0\0\0\x08\0\0\0', 'latin1')
    expect(await fileFormat(file('loop.tif', loop))).toBe('tiff')
    const out = Buffer.from('II*\0\xff\xff\xff\x7f', 'latin1')
    expect(await fileFormat(file('out.tif', out))).toBe('tiff')
  })
})
