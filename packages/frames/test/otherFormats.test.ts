import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { consumer } from '../../../test/support/consumer.ts'
import { decodeFootage, decodeFrame, sniffFormat } from '../src/node.ts'
import { randomNumbers } from './support/scene.ts'

const folder = mkdtempSync(join(tmpdir(), 'formats-'))
afterAll(() => {
  rmSync(folder, { recursive: true })
})

const width = 22
const height = 10
const tool = consumer('ffmpeg')

/** RGB samples that have nothing in common with their neighbours. */
function samples(bits: 8 | 16): Uint8Array | Uint16Array {
  const next = randomNumbers(bits)
  const Kind = bits === 8 ? Uint8Array : Uint16Array
  const out = new Kind(3 * width * height)
  return out.map(() => Math.floor(next() * 2 ** bits))
}

/** A file that ffmpeg makes of those samples. */
function file(name: string, bits: 8 | 16, ...how: string[]): string {
  const path = join(folder, name)
  const raw = samples(bits)
  tool.run(
    [
      ...['-hide_banner', '-y', '-loglevel', 'error', '-f', 'rawvideo'],
      ...['-pix_fmt', bits === 8 ? 'rgb24' : 'rgb48le', '-s', `${width}x${height}`, '-i', 'pipe:0'],
      ...[...how, path],
    ],
    Buffer.from(raw.buffer),
  )
  return path
}

tool.describe('pictures that ffmpeg reads', () => {
  it.each([
    ['BMP', 'a.bmp', 8, []],
    ['BMP with a fourth byte', 'b.bmp', 8, ['-pix_fmt', 'bgra']],
    ['TGA', 'c.tga', 8, ['-rle', '0']],
    ['TGA, packed', 'd.tga', 8, []],
    ['TGA that is called otherwise', 'd%03d.png', 8, ['-f', 'image2', '-update', '1', '-c:v', 'targa']],
    ['PPM', 'e.ppm', 8, []],
    ['PPM, 16 bit', 'f.ppm', 16, ['-pix_fmt', 'rgb48be']],
    ['PAM', 'g.pam', 8, []],
    ['FFV1 in RGB, 8 bit', 'h.mkv', 8, ['-c:v', 'ffv1', '-pix_fmt', 'bgr0']],
    ['FFV1 in RGB, 16 bit', 'i.mkv', 16, ['-c:v', 'ffv1', '-pix_fmt', 'gbrp16le']],
    [
      'a movie that is called like a pattern',
      'shot%03d.mkv',
      8,
      ['-c:v', 'ffv1', '-pix_fmt', 'bgr0', '-update', '1'],
    ],
  ] as const)('%s, bit for bit', async (_, name, bits, how) => {
    const frame = await decodeFrame(file(name, bits, ...how))
    expect([frame.width, frame.height, frame.bits]).toEqual([width, height, bits])
    expect([...frame.data]).toEqual([...samples(bits)])
  })

  it('grey of a PGM as R = G = B', async () => {
    const path = join(folder, 'k.pgm')
    writeFileSync(path, Buffer.concat([Buffer.from('P5\n2 2\n255\n'), Buffer.from([0, 60, 200, 255])]))
    expect([...(await decodeFrame(path)).data]).toEqual([0, 0, 0, 60, 60, 60, 200, 200, 200, 255, 255, 255])
  })
})

tool.describe('streams without container', () => {
  const run = (...args: string[]) => tool.run(['-hide_banner', '-y', '-loglevel', 'error', ...args])
  const tags = ['-colorspace', 'bt709', '-color_range', 'tv']
  const copied = ['-c', 'copy']

  it.each([
    ['H.264', 'a.h264', ['-c:v', 'libx264', '-pix_fmt', 'yuv420p', '-g', '8'], copied],
    [
      'HEVC',
      'a.hevc',
      ['-c:v', 'libx265', '-pix_fmt', 'yuv420p10le', '-x265-params', 'log-level=none:keyint=8'],
      copied,
    ],
    ['YUV4MPEG2', 'a.y4m', ['-c:v', 'ffv1', '-pix_fmt', 'yuv422p'], []],
    ['YUV4MPEG2, 10 bit', 'b.y4m', ['-c:v', 'ffv1', '-pix_fmt', 'yuv422p10le'], ['-strict', '-1']],
  ])('%s: the same frames as in one, by number and by time', async (_, name, how, bareHow) => {
    const bare = join(folder, name)
    const boxed = join(folder, `${name}.mkv`)
    const source = ['-f', 'lavfi', '-i', 'testsrc2=size=64x48:rate=25', '-frames:v', '18']
    run(...source, ...how, ...tags, boxed)
    run('-i', boxed, ...bareHow, bare)
    // YUV4MPEG2 has no word for a matrix, and at times none for the range.
    const reading = { matrix: 'bt709', range: 'narrow' } as const
    for (const place of [{}, { frame: 13, count: 3 }, { seconds: 13.5 / 25 }]) {
      const of = async (path: string) =>
        (await decodeFootage(path, { ...reading, ...place })).map(({ data }) => Buffer.from(data.buffer))
      expect(await of(bare)).toEqual(await of(boxed))
    }
  })
})

describe('files that are not read are named as what they are', () => {
  // First bytes as the file formats' specifications have them (ISO/IEC 23008-12, GIF89a, ISO/IEC 15444-1), from memory.
  it.each([
    ['HEIC', '\0\0\0\x18ftypheic\0\0\0\0mif1heic', /HEIC/],
    ['AVIF', '\0\0\0\x18ftypavif\0\0\0\0mif1avif', /AVIF/],
    ['GIF', 'GIF89a', /GIF/],
    ['JPEG 2000', '\0\0\0\x0cjP  \r\n\x87\n', /JPEG 2000/],
    ['PDF', '%PDF-1.7', /PDF/],
    ['PFM', 'PF\n2 2\n', /PFM/],
  ])('%s', async (_, start, name) => {
    const path = join(folder, 'other.mov')
    writeFileSync(path, Buffer.concat([Buffer.from(start, 'latin1'), Buffer.alloc(200)]))
    for (const decode of [decodeFrame, decodeFootage])
      await expect(decode(path)).rejects.toMatchObject({
        code: 'frame-unreadable',
        message: expect.stringMatching(name),
      })
  })

  it('a folder', async () => {
    await expect(decodeFrame(folder)).rejects.toThrow(/a folder where a frame is expected/)
    await expect(decodeFootage(folder)).rejects.toThrow(/a folder/)
  })

  it.each(['no movie', 'P8', 'BM, a letter', '<svg>', '\0\0\0\x01'])('nothing is seen in %j', (text) => {
    expect(
      sniffFormat(Buffer.concat([Buffer.from(text, 'latin1'), Buffer.from('\n'.repeat(20))])),
    ).toBeUndefined()
  })
})
