import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import sharp from 'sharp'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { decodeFrame, encodeFrame } from '../src/node.ts'

/** The rule of fixtures/make.py. */
const sample = (x: number, y: number, c: number, top: number) =>
  (x * 7919 + y * 104729 + c * 1299709 + 17) % (top + 1)
const level = (x: number, y: number, c: number) => (sample(x, y, c, 4095) - 512) / 1024
const fixture = (name: string) => fileURLToPath(new URL(`fixtures/${name}`, import.meta.url))

function expected(rule: (x: number, y: number, c: number) => number): number[] {
  const values: number[] = []
  for (let y = 0; y < 3; y++)
    for (let x = 0; x < 5; x++) for (let c = 0; c < 3; c++) values.push(rule(x, y, c))
  return values
}

const rgb16 = expected((x, y, c) => sample(x, y, c, 65535))
const grey16 = expected((x, y) => sample(x, y, 0, 65535))
const rgb8 = expected((x, y, c) => sample(x, y, c, 255))
const float = expected(level)

let folder: string
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'frames-'))
})
afterAll(async () => {
  await rm(folder, { recursive: true })
})

describe('decodeFrame, against files of an encoder that shares no code with the decoder', () => {
  it.each([
    ['rgb16.png', 16, rgb16],
    ['rgb16-gamma-chunks.png', 16, rgb16],
    ['rgb8.png', 8, rgb8],
    ['grey16.png', 16, grey16],
    ['grey8.png', 8, expected((x, y) => sample(x, y, 0, 255))],
    ['rgba16.png', 16, rgb16],
    ['palette.png', 8, expected((x, y, c) => sample((x + y) % 4, 0, c, 255))],
    ['rgb16-little.tif', 16, rgb16],
    ['rgb16-big.tif', 16, rgb16],
    ['rgb8.tif', 8, rgb8],
    ['grey16.tif', 16, grey16],
    ['float-little.tif', 'float', float],
    ['float-big.tif', 'float', float],
    ['grey-float.tif', 'float', expected((x, y) => level(x, y, 0))],
    ['turned.tif', 16, rgb16],
  ] as const)('%s, bit for bit', async (name, bits, values) => {
    const frame = await decodeFrame(fixture(name))
    expect([frame.width, frame.height, frame.bits]).toEqual([5, 3, bits])
    expect([...frame.data]).toEqual(values)
  })

  it('tells of alpha and of an orientation that is not applied', async () => {
    expect((await decodeFrame(fixture('rgba16.png'))).warnings).toMatchObject([{ code: 'alpha-dropped' }])
    expect((await decodeFrame(fixture('turned.tif'))).warnings).toMatchObject([{ code: 'orientation-kept' }])
    expect((await decodeFrame(fixture('rgb16.png'))).warnings).toEqual([])
  })
})

describe('decodeFrame and profiles', () => {
  it('leaves the numbers alone when a profile is embedded', async () => {
    const raw = Buffer.from(rgb8)
    const image = sharp(raw, { raw: { width: 5, height: 3, channels: 3 } })
    const bytes = await image.withIccProfile('p3').png().toBuffer()
    const plain = await decodeFrame(bytes)
    // The writer converts into the profile, so the numbers in the file differ from the raw ones; a reader that
    // applied the profile would give the raw ones back.
    expect((await sharp(bytes).metadata()).hasProfile).toBe(true)
    expect([...plain.data]).not.toEqual(rgb8)
    const kept = await sharp(bytes).keepIccProfile().raw().toBuffer()
    expect([...plain.data]).toEqual([...kept])
  })

  it('reads JPEG and WebP as their own decoders do', async () => {
    const image = sharp(Buffer.from(rgb8), { raw: { width: 5, height: 3, channels: 3 } })
    const jpeg = await image.clone().jpeg({ quality: 100, chromaSubsampling: '4:4:4' }).toBuffer()
    expect([...(await decodeFrame(jpeg)).data]).toEqual([...(await sharp(jpeg).raw().toBuffer())])
    const webp = await image.clone().webp({ lossless: true }).toBuffer()
    expect([...(await decodeFrame(webp)).data]).toEqual(rgb8)
  })
})

describe('decodeFrame refuses', () => {
  const refused = async (input: string | Uint8Array, message: RegExp, options = {}) => {
    const fault = await decodeFrame(input, { file: 'shot.png', ...options }).then(
      () => undefined,
      (error: unknown) => error,
    )
    expect(fault).toMatchObject({
      name: 'IsochipError',
      code: 'frame-unreadable',
      message: expect.stringMatching(message),
      hint: expect.stringMatching(/\w/),
      place: { file: typeof input === 'string' ? input : 'shot.png' },
    })
  }

  it('a file that is not there, and a folder', async () => {
    await refused(join(folder, 'none.png'), /no such file/)
    await refused(folder, /a folder/)
  })

  it('an empty file, and one of zeros', async () => {
    const path = join(folder, 'empty.png')
    await writeFile(path, '')
    await refused(path, /empty/)
    await refused(new Uint8Array(1000), /no format that can be read/)
  })

  it('text, markup and other formats, whatever their name', async () => {
    await refused(Buffer.from('<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"/>'), /no format/)
    await refused(Buffer.from('GIF89a........'), /no format/)
  })

  it('files cut off at any point', async () => {
    const whole = [await readFile(fixture('rgb16.png')), await readFile(fixture('rgb16-big.tif'))]
    const big = {
      width: 64,
      height: 64,
      data: Uint8Array.from({ length: 64 * 64 * 3 }, (_, i) => (i * 37) & 255),
    }
    whole.push(
      await sharp(big.data, { raw: { width: 64, height: 64, channels: 3 } })
        .jpeg()
        .toBuffer(),
    )
    for (const bytes of whole)
      for (const share of [0.3, 0.6, 0.85])
        await refused(bytes.subarray(0, Math.floor(bytes.length * share)), /broken|empty/)
  })

  it('a flipped bit in the pixel data of a PNG', async () => {
    const bytes = await readFile(fixture('rgb16.png'))
    bytes[bytes.length - 30]! ^= 4
    await refused(bytes, /broken PNG/)
  })

  it('CMYK', async () => {
    await refused(fixture('cmyk.tif'), /cmyk/)
  })

  it('a picture with more pixels than allowed', async () => {
    await refused(await readFile(fixture('rgb16.png')), /over 14 pixels/, { maxPixels: 14 })
  })
})

describe('encodeFrame', () => {
  it.each([
    ['rgb16.png', 'png'],
    ['rgb16.png', 'tiff'],
    ['rgb8.png', 'png'],
    ['rgb8.png', 'tiff'],
    ['float-big.tif', 'tiff'],
  ] as const)('keeps every sample of %s through %s', async (name, format) => {
    const frame = await decodeFrame(fixture(name))
    const again = await decodeFrame(await encodeFrame(frame, { format }))
    expect(again.bits).toBe(frame.bits)
    expect(again.data).toEqual(frame.data)
  })

  it('keeps infinities, NaN and negative levels in a float TIFF', async () => {
    const values = [Number.NaN, Number.POSITIVE_INFINITY, -0.5, 65504, 1e-30, 0]
    const bytes = await encodeFrame(
      { width: 2, height: 1, data: Float32Array.from(values), bits: 'float', codeScale: 1 },
      { format: 'tiff' },
    )
    expect([...(await decodeFrame(bytes)).data]).toEqual([...Float32Array.from(values)])
  })

  it('makes 16 bits of 10: the top code becomes the top code', async () => {
    const ten = {
      width: 1,
      height: 1,
      data: Uint16Array.of(1023, 512, 0),
      bits: 10 as const,
      codeScale: 1023,
    }
    const frame = await decodeFrame(await encodeFrame(ten, { format: 'png' }))
    expect([...frame.data]).toEqual([65535, Math.round((512 * 65535) / 1023), 0])
  })

  it.each(['4:4:4', '4:2:0'] as const)(
    'writes a JPEG of 8 bits from any depth, colour at %s',
    async (chroma) => {
      const flat = {
        width: 16,
        height: 16,
        data: new Uint16Array(16 * 16 * 3).fill(32896),
        bits: 16 as const,
        codeScale: 65535,
      }
      const bytes = await encodeFrame(flat, { format: 'jpeg', quality: 90, chroma })
      expect((await sharp(bytes).metadata()).chromaSubsampling).toBe(chroma)
      // 32896 of 65535 is 128 of 255. A flat field has no frequencies to lose: a code for the rounding of its mean.
      for (const value of (await decodeFrame(bytes)).data)
        expect(Math.abs(value - 128)).toBeLessThanOrEqual(1)
    },
  )

  it('refuses floats in a PNG', async () => {
    const float = { width: 1, height: 1, data: new Float32Array(3), bits: 'float' as const, codeScale: 1 }
    await expect(encodeFrame(float, { format: 'png', bits: 'float' })).rejects.toThrow(RangeError)
  })
})
