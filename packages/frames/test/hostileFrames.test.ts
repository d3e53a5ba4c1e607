import { readFile } from 'node:fs/promises'
import { fileURLToPath } from 'node:url'
import { deflateSync } from 'node:zlib'
import { IsochipError } from '@isochip/core'
import sharp from 'sharp'
import { describe, expect, it } from 'vitest'
import { pngBytes, pngChunk } from '../../../test/support/pngBytes.ts'
import { decodeFrame, encodeFrame } from '../src/node.ts'
import { randomNumbers } from './support/scene.ts'

const fixture = (name: string) => readFile(fileURLToPath(new URL(`fixtures/${name}`, import.meta.url)))

const faultOf = (bytes: Uint8Array) =>
  decodeFrame(bytes, { file: 'shot' }).then(
    () => undefined,
    (error: unknown) => error,
  )

const clear = (message: RegExp) => ({
  name: 'IsochipError',
  code: 'frame-unreadable',
  message: expect.stringMatching(message),
  hint: expect.stringMatching(/\w/),
  place: { file: 'shot' },
})

/** An RGB PNG that declares any size, with the given bytes as its picture data. */
const png = (width: number, height: number, picture: Uint8Array): Buffer =>
  pngBytes(width, height, 8, [pngChunk('IDAT', picture)])

const picture = sharp(Buffer.from(Array.from({ length: 32 * 24 * 3 }, (_, i) => (i * 7919) % 251)), {
  raw: { width: 32, height: 24, channels: 3 },
})

describe('decodeFrame, sizes that no camera has', () => {
  it('refuses more pixels than allowed before any is unpacked', async () => {
    // A kilobyte that declares 3 GB.
    const bomb = png(40_000, 25_000, deflateSync(Buffer.alloc(1 << 20)))
    const before = process.memoryUsage().rss
    expect(await faultOf(bomb)).toMatchObject(clear(/over 141557760 pixels/))
    expect(process.memoryUsage().rss - before).toBeLessThan(200e6)
  })

  it.each([
    ['no width', 0, 5],
    ['no height', 5, 0],
    ['more than the format allows', 0xffff_ffff, 0xffff_ffff],
    ['a size that the data do not fill', 3000, 2000],
  ])('refuses %s', async (_, width, height) => {
    const bytes = png(width, height, deflateSync(Buffer.alloc(5 * 16)))
    expect(await faultOf(bytes)).toMatchObject(clear(/broken PNG|pixels/))
  })

  it.each([
    ['a single pixel', 1, 1],
    ['a single row', 64, 1],
    ['a single column', 1, 64],
  ])('reads %s', async (_, width, height) => {
    const data = Uint16Array.from({ length: 3 * width * height }, (_, i) => (i * 40503) & 0xffff)
    for (const format of ['png', 'tiff'] as const) {
      const bytes = await encodeFrame({ width, height, data, bits: 16, codeScale: 65535 }, { format })
      const frame = await decodeFrame(bytes)
      expect([frame.width, frame.height]).toEqual([width, height])
      expect(frame.data).toEqual(data)
    }
  })
})

describe('decodeFrame, pictures of other kinds', () => {
  it.each(['png', 'tiff', 'webp'] as const)(
    'drops the alpha of %s, whatever it hides, and tells',
    async (format) => {
      const plain = await picture.clone().raw().toBuffer()
      const hidden = Buffer.alloc((plain.length / 3) * 4)
      for (let i = 0; i < plain.length / 3; i++) {
        plain.copy(hidden, 4 * i, 3 * i, 3 * i + 3)
        hidden[4 * i + 3] = (i * 37) & 255
      }
      const image = sharp(hidden, { raw: { width: 32, height: 24, channels: 4 } })
      const bytes =
        format === 'webp'
          ? await image.webp({ lossless: true, exact: true }).toBuffer()
          : await image.toFormat(format, { compression: 'lzw' }).toBuffer()
      const frame = await decodeFrame(bytes)
      expect([...frame.data]).toEqual([...plain])
      expect(frame.warnings).toMatchObject([{ code: 'alpha-dropped' }])
    },
  )

  it('reads a grey JPEG as R = G = B', async () => {
    const frame = await decodeFrame(await picture.clone().greyscale().jpeg().toBuffer())
    expect([frame.width, frame.height, frame.data.length]).toEqual([32, 24, 3 * 32 * 24])
    for (let i = 0; i < frame.data.length; i += 3)
      expect([frame.data[i + 1], frame.data[i + 2]]).toEqual([frame.data[i], frame.data[i]])
  })

  // The names that the profiles that come with the library give themselves (ICC registry of sRGB; Apple's Display P3).
  it.each([
    ['srgb', /sRGB/],
    ['p3', /P3/],
  ] as const)('names an ICC profile that it does not apply: %s', async (profile, name) => {
    const plain = await decodeFrame(await picture.clone().png().toBuffer())
    const bytes = await picture.clone().png().withIccProfile(profile).toBuffer()
    const frame = await decodeFrame(bytes)
    expect(frame.warnings).toMatchObject([{ code: 'profile-ignored', message: expect.stringMatching(name) }])
    if (profile === 'srgb') expect(frame.data).toEqual(plain.data)
  })

  it('refuses a CMYK JPEG', async () => {
    expect(await faultOf(await picture.clone().toColourspace('cmyk').jpeg().toBuffer())).toMatchObject(
      clear(/cmyk/),
    )
  })

  it.each([2, 3, 5, 6, 8])(
    'leaves pixels as stored under EXIF orientation %i, and tells',
    async (orientation) => {
      const bytes = await picture.clone().withMetadata({ orientation }).jpeg({ quality: 100 }).toBuffer()
      const frame = await decodeFrame(bytes)
      expect([frame.width, frame.height]).toEqual([32, 24])
      expect([...frame.data]).toEqual([...(await sharp(bytes).raw().toBuffer())])
      // The library writes a profile with it.
      expect(frame.warnings).toMatchObject([{ code: 'profile-ignored' }, { code: 'orientation-kept' }])
    },
  )
})

/**
 * Every outcome but a whole frame and one clear error is a fault: a crash of the process ends the whole run, a promise
 * that does not settle runs into the time limit.
 */
async function frameOrFault(bytes: Uint8Array): Promise<'frame' | 'fault'> {
  try {
    const { width, height, data } = await decodeFrame(bytes, { file: 'shot', maxPixels: 4_000_000 })
    expect(data.length).toBe(3 * width * height)
    return 'frame'
  } catch (error) {
    if (!(error instanceof IsochipError)) throw error
    expect(error).toMatchObject(clear(/\w/))
    return 'fault'
  }
}

describe('decodeFrame, damaged files', () => {
  const files = {
    'PNG, 16 bit': () => fixture('rgb16.png'),
    'PNG, palette': () => fixture('palette.png'),
    'TIFF, 16 bit': () => fixture('rgb16-little.tif'),
    'TIFF, float': () => fixture('float-big.tif'),
    JPEG: () => picture.clone().jpeg().toBuffer(),
    WebP: () => picture.clone().webp().toBuffer(),
  }

  it.each(Object.entries(files))('%s with bytes of its head changed', async (name, make) => {
    const whole = await make()
    const next = randomNumbers(name.length)
    const outcomes = { frame: 0, fault: 0 }
    for (let round = 0; round < 150; round++) {
      const bytes = Buffer.from(whole)
      const head = Math.min(bytes.length, 200)
      for (let change = 0; change < 1 + (round % 4); change++)
        bytes[Math.floor(next() * head)] = Math.floor(next() * 256)
      outcomes[await frameOrFault(bytes)]++
    }
    // Damage that is never seen would mean that it never reached the decoder.
    expect(outcomes.fault).toBeGreaterThan(15)
  })

  it.each(Object.entries(files))('%s cut off at any byte', async (_, make) => {
    const whole = await make()
    for (let length = 0; length < whole.length - 40; length += Math.max(1, Math.floor(whole.length / 60)))
      expect(await frameOrFault(whole.subarray(0, length)), `${length} of ${whole.length} bytes`).toBe(
        'fault',
      )
  })

  it.each(Object.entries(files))('%s with zeros after any byte', async (_, make) => {
    const whole = await make()
    for (let length = 0; length < whole.length; length += Math.max(1, Math.floor(whole.length / 40)))
      await frameOrFault(Buffer.from(whole).fill(0, length))
  })
})
