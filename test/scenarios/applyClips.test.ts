import { existsSync, readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { applyLut, type LatticeLut, readCube, writeCube } from '@isochip/export'
import { decodeFootage, decodeFrame } from '@isochip/frames/node'
import { applyLutToFrames } from '@isochip/show/node'
import { expect, test } from 'vitest'
import { consumer } from '../support/consumer.ts'
import { scratchFolder } from '../support/scratchFolder.ts'
import { runCommand } from './support/runCommand.ts'

const [ffmpeg, ffprobe] = [consumer('ffmpeg'), consumer('ffprobe')]
const frames = 5

/** A lattice that bends and mixes the channels. */
function bent(): LatticeLut {
  const size = 17
  const table = new Float64Array(3 * size ** 3)
  for (let k = 0, at = 0; k < size; k++)
    for (let j = 0; j < size; j++)
      for (let i = 0; i < size; i++) {
        const [r, g, b] = [i / (size - 1), j / (size - 1), k / (size - 1)]
        table[at++] = 0.05 + 0.8 * r ** 0.8 + 0.1 * g * b
        table[at++] = 0.1 * r + 0.85 * g ** 1.2
        table[at++] = 0.9 * b - 0.05 * r * g + 0.06
      }
  return { kind: 'lattice', size, domainMin: [0, 0, 0], domainMax: [1, 1, 1], tableRedFastest: table }
}

/** Tags that are those of no default. */
const tagged = 'setparams=color_primaries=bt2020:color_trc=arib-std-b67:colorspace=bt2020nc:range=tv'

/** A clip of moving colours with a tone, and the LUT. */
function newFolder(pixels: string, name = 'clip.mov'): string {
  const folder = scratchFolder('apply-clips')
  const codec = pixels.startsWith('gbr') ? ['-c:v', 'ffv1'] : ['-c:v', 'prores_ks', '-profile:v', '4']
  ffmpeg.run([
    ...[
      '-loglevel',
      'error',
      '-f',
      'lavfi',
      '-i',
      'testsrc2=size=320x180:rate=25',
      '-f',
      'lavfi',
      '-i',
      'sine=r=48000',
    ],
    ...[
      '-frames:v',
      String(frames),
      '-shortest',
      '-t',
      '0.2',
      '-vf',
      `format=${pixels},${tagged}`,
      ...codec,
      '-pix_fmt',
      pixels,
    ],
    ...['-c:a', 'pcm_s16le', join(folder, name)],
  ])
  writeFileSync(join(folder, 'look.cube'), writeCube(bent(), { precision: 'exact' }))
  return folder
}

const streams = (path: string) =>
  JSON.parse(ffprobe.run(['-loglevel', 'error', '-show_streams', '-of', 'json', path]).toString())
    .streams as readonly Record<string, string>[]

/** The frames of a clip as this project decodes them and puts the LUT on them. */
async function expectedOf(folder: string, name: string) {
  const { lut } = readCube(readFileSync(join(folder, 'look.cube')), { file: 'look.cube' })
  return (await decodeFootage(join(folder, name), { count: frames })).map((frame) => {
    // RGB has codes, of 16 bits as the clip that comes out.
    const data = Float32Array.from(frame.data, (sample) => sample / frame.codeScale)
    applyLut(lut, { ...frame, data })
    return data
  })
}

ffmpeg.describe('apply on clips', () => {
  test.each([
    ['Y′CbCr', 'yuv444p10le', 'clip.mov'],
    ['R′G′B′ of 10 bits', 'gbrp10le', 'clip.mkv'],
  ])(
    'without loss: each pixel of each frame as our own interpolation has it, from %s',
    async (_, pixels, name) => {
      const folder = newFolder(pixels, name)
      const { status, out } = await runCommand(
        ...[
          'apply',
          join(folder, 'look.cube'),
          join(folder, name),
          '--codec',
          'ffv1',
          '--out',
          join(folder, 'out'),
        ],
      )
      expect(status).toBe(0)
      expect(out).toBe(`${join(folder, 'out', 'clip.mkv')}\n`)
      const expected = await expectedOf(folder, name)
      const found = await decodeFootage(join(folder, 'out', 'clip.mkv'), { count: frames })
      let worst = 0
      found.forEach(({ data, codeScale }, f) => {
        for (let i = 0; i < data.length; i++) {
          const wanted = Math.min(1, Math.max(0, expected[f]![i]!))
          worst = Math.max(worst, Math.abs(data[i]! - codeScale * wanted))
        }
      })
      // In 16-bit codes.
      expect(worst).toBeLessThan(1)
    },
  )

  test.each([
    ['prores-422-hq', 'prores', 'yuv422p10le'],
    // What decodes it gives 12 bits.
    ['prores-4444', 'prores', 'yuv444p12le'],
    ['dnxhr-hqx', 'dnxhd', 'yuv422p10le'],
    ['dnxhr-444', 'dnxhd', 'yuv444p10le'],
  ] as const)('%s: tags, sound and all frames are kept, with progress', async (codec, name, pixels) => {
    const folder = newFolder('yuv444p10le')
    const done: (readonly [number, number | undefined])[] = []
    const { files } = await applyLutToFrames(join(folder, 'look.cube'), [join(folder, 'clip.mov')], {
      out: join(folder, 'out'),
      codec,
      onFrames: (_, count, all) => done.push([count, all]),
    })
    const [video, audio] = streams(files[0]!)
    expect(video).toMatchObject({
      codec_name: name,
      pix_fmt: pixels,
      color_primaries: 'bt2020',
      color_transfer: 'arib-std-b67',
      color_space: 'bt2020nc',
      nb_frames: String(frames),
      r_frame_rate: '25/1',
    })
    expect(audio).toMatchObject({ codec_name: 'pcm_s16le', sample_rate: '48000' })
    expect(done.at(-1)).toEqual([frames, frames])
    if (!pixels.startsWith('yuv444')) return
    // A codec with losses: a 10-bit code in the mean, while the test pattern is full of edges.
    const expected = await expectedOf(folder, 'clip.mov')
    const found = await decodeFootage(files[0]!, { count: frames })
    let sum = 0
    let count = 0
    found.forEach(({ data }, f) => {
      for (let i = 0; i < data.length; i++, count++) sum += Math.abs(data[i]! - expected[f]![i]!)
    })
    expect((876 * sum) / count).toBeLessThan(1)
  })

  test('a DPX of 10 bits: a still, with the LUT on its codes', async () => {
    const folder = newFolder('gbrp10le', 'clip.mkv')
    ffmpeg.run([
      '-loglevel',
      'error',
      '-i',
      join(folder, 'clip.mkv'),
      '-frames:v',
      '1',
      join(folder, 'one.dpx'),
    ])
    const { files } = await applyLutToFrames(join(folder, 'look.cube'), [join(folder, 'one.dpx')], {
      out: join(folder, 'out'),
    })
    const [expected] = await expectedOf(folder, 'clip.mkv')
    const { data, codeScale } = await decodeFrame(files[0]!)
    expect(codeScale).toBe(65535)
    for (let i = 0; i < data.length; i++) {
      const wanted = Math.min(1, Math.max(0, expected![i]!))
      // Rounded to 10 bits, then to 16.
      expect(Math.abs(data[i]! / 65535 - wanted)).toBeLessThan(0.5 / 1023 + 0.5 / 65535 + 1e-7)
    }
  })

  test('a clip that is there is kept, and nothing is left of one that cannot be read', async () => {
    const folder = newFolder('yuv444p10le')
    const out = join(folder, 'out')
    const apply = (file: string, ...more: string[]) =>
      runCommand('apply', join(folder, 'look.cube'), join(folder, file), '--out', out, ...more)
    writeFileSync(join(folder, 'torn.mov'), readFileSync(join(folder, 'clip.mov')).subarray(0, 3000))
    const torn = await apply('torn.mov')
    expect(torn.status).toBe(2)
    expect(existsSync(out) ? readdirSync(out) : []).toEqual([])
    expect((await apply('clip.mov')).status).toBe(0)
    const again = await apply('clip.mov')
    expect(again.err).toContain('exists, and isochip did not write it')
    expect(again.status).toBe(2)
    expect((await apply('clip.mov', '--force')).status).toBe(0)
    expect(readdirSync(out)).toEqual(['clip.mov'])
  })

  test('a LUT of steps is for stills, which is said before anything is written', async () => {
    const folder = newFolder('yuv444p10le')
    writeFileSync(join(folder, 'steps.cube'), 'LUT_1D_SIZE 2\n0 0 0\n1 1 1\n')
    const { err, status } = await runCommand(
      ...['apply', join(folder, 'steps.cube'), join(folder, 'clip.mov'), '--out', join(folder, 'out')],
    )
    expect(err).toContain('a clip takes a LUT of one 3D table')
    expect(status).toBe(2)
    expect(existsSync(join(folder, 'out'))).toBe(false)
  })
})
