import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { consumer } from '../../../test/support/consumer.ts'
import { pngBytes, pngChunk } from '../../../test/support/pngBytes.ts'
import { colourTags } from '../src/node.ts'

const folder = mkdtempSync(join(tmpdir(), 'tags-'))
afterAll(() => rmSync(folder, { recursive: true }))

function png(name: string, ...chunks: Buffer[]): string {
  const path = join(folder, name)
  writeFileSync(path, pngBytes(0, 0, 8, [...chunks, pngChunk('IDAT')]))
  return path
}

describe('tags of a PNG', () => {
  const srgb = pngChunk('sRGB', [0])
  // PNG specification, third edition: 45455 stands for 1/2.2, 100000 for 1.
  const gama = pngChunk('gAMA', [0, 0, 0xb1, 0x8f])

  // Code points of ITU-T H.273, tables 2 and 3; the third byte is the matrix, which is 0 for R′G′B′.
  it.each([
    ['BT.709', [1, 1, 0, 0], { transfer: 'bt709', primaries: 'bt709', range: 'narrow' }],
    ['PQ', [9, 16, 0, 1], { transfer: 'pq', primaries: 'bt2020', range: 'full' }],
    ['HLG', [9, 18, 0, 1], { transfer: 'hlg', primaries: 'bt2020', range: 'full' }],
    ['sRGB curve, P3', [12, 13, 0, 1], { transfer: 'srgb', primaries: 'p3-d65', range: 'full' }],
    ['BT.2020', [9, 14, 0, 1], { transfer: 'bt2020', primaries: 'bt2020', range: 'full' }],
  ] as const)('cICP: %s, which goes before all others', async (name, codes, expected) => {
    const path = png(`${name.replace(/\W/g, '')}.png`, gama, srgb, pngChunk('cICP', codes))
    expect(await colourTags(path)).toEqual({ ...expected, source: 'cICP of the PNG' })
  })

  it('sRGB goes before gAMA, gAMA names no primaries, an ICC profile is not guessed at', async () => {
    expect(await colourTags(png('srgb.png', gama, srgb))).toMatchObject({
      transfer: 'srgb',
      primaries: 'bt709',
    })
    expect(await colourTags(png('gama.png', gama))).toEqual({
      transfer: { power: 2.2 },
      range: 'full',
      source: 'gAMA of the PNG',
    })
    expect(await colourTags(png('linear.png', pngChunk('gAMA', [0, 1, 0x86, 0xa0])))).toMatchObject({
      transfer: 'linear',
    })
    expect(await colourTags(png('icc.png', pngChunk('iCCP', [0]), gama))).toBeUndefined()
  })

  it('nothing is read out of nothing', async () => {
    expect(await colourTags(png('none.png'))).toBeUndefined()
    expect(await colourTags(png('unknown.png', pngChunk('cICP', [2, 2, 0, 1])))).toBeUndefined()
    expect(await colourTags(png('short.png', pngChunk('cICP', [1])))).toBeUndefined()
    expect(await colourTags(join(folder, 'missing.png'))).toBeUndefined()
  })
})

const tool = consumer('ffmpeg')

tool.describe('tags of a clip, as ffmpeg writes them', () => {
  function clip(name: string, ...options: string[]): string {
    const path = join(folder, name)
    tool.run(
      [
        '-hide_banner',
        '-y',
        '-loglevel',
        'error',
        '-f',
        'lavfi',
        '-i',
        'color=gray:size=64x64:rate=25:duration=0.2',
      ].concat(['-c:v', 'prores_ks', '-pix_fmt', 'yuv422p10le', ...options, path]),
      Buffer.alloc(0),
    )
    return path
  }

  it.each([
    ['bt709', 'bt709', { transfer: 'bt709', primaries: 'bt709', range: 'full' }],
    ['smpte2084', 'bt2020', { transfer: 'pq', primaries: 'bt2020', range: 'full' }],
    ['arib-std-b67', 'bt2020', { transfer: 'hlg', primaries: 'bt2020', range: 'full' }],
  ] as const)('%s, whose range decoding takes out', async (transfer, primaries, expected) => {
    const path = clip(
      `${transfer}.mov`,
      '-vf',
      `setparams=color_trc=${transfer}:color_primaries=${primaries}:colorspace=bt709`,
    )
    expect(await colourTags(path)).toEqual({ ...expected, source: 'tags of the clip' })
  })

  it('a clip without tags, or that is none, says nothing', async () => {
    expect(await colourTags(clip('plain.mov'))).toBeUndefined()
    const broken = join(folder, 'broken.mov')
    writeFileSync(broken, Buffer.from('\0\0\0\x14ftypqt  ', 'latin1'))
    expect(await colourTags(broken)).toBeUndefined()
  })
})
