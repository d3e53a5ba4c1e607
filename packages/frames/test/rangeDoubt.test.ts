import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { builtinChart, type Vec3 } from '@isochip/core'
import { afterAll, expect, it } from 'vitest'
import { consumer } from '../../../test/support/consumer.ts'
import { rangeDoubt, sampleChart } from '../src/index.ts'
import { decodeFootage, type FootageOptions } from '../src/node.ts'
import { slantedCorners as corners, drawScene } from './support/scene.ts'

const folder = mkdtempSync(join(tmpdir(), 'range-'))
afterAll(() => {
  rmSync(folder, { recursive: true })
})
const tool = consumer('ffmpeg')
const chart = builtinChart('chart24')

const drawn = new Map<string, Buffer>()

/** What is about the chart goes from end to end as well. */
function codesOf(black: number, white: number, noise: number): Buffer {
  const key = [black, white, noise].join()
  const known = drawn.get(key)
  if (known !== undefined) return known
  const level = (index: number): Vec3 => {
    const grey = black + ((white - black) * index) / 23
    return [grey, grey, grey]
  }
  const board: Vec3 = [black, black, black]
  const { data } = drawScene({ width: 400, height: 300, corners, chart, level, noise, board })
  const codes = Buffer.from(data.buffer)
  drawn.set(key, codes)
  return codes
}

/** A chart from a black near 0 to a white near 1, as Y′CbCr codes of one range with the tag of the same or the other. */
async function doubts(
  name: string,
  {
    codes,
    tag,
    black = 0.01,
    white = 0.97,
    noise = 0.002,
    ...reading
  }: {
    readonly codes: 'tv' | 'pc'
    readonly tag?: 'tv' | 'pc'
    readonly black?: number
    readonly white?: number
    readonly noise?: number
  } & Pick<FootageOptions, 'range'>,
) {
  const data = codesOf(black, white, noise)
  const path = join(folder, `${name}.mkv`)
  tool.run(
    [
      ...[
        '-hide_banner',
        '-y',
        '-loglevel',
        'error',
        '-f',
        'rawvideo',
        '-pix_fmt',
        'rgb48le',
        '-s',
        '400x300',
      ],
      ...[
        '-i',
        'pipe:0',
        '-vf',
        `zscale=matrix=709:range=${codes === 'tv' ? 'limited' : 'full'},format=yuv444p10le`,
      ],
      ...['-c:v', 'ffv1', '-colorspace', 'bt709', ...(tag === undefined ? [] : ['-color_range', tag]), path],
    ],
    data,
  )
  const frames = await decodeFootage(path, reading)
  const { areas } = sampleChart({ frames, chart, corners, range: 'full' })
  return rangeDoubt(frames[0]!, areas)
}

tool.describe('rangeDoubt', () => {
  it.each([
    ['narrow', { codes: 'tv', tag: 'tv' }],
    ['full', { codes: 'pc', tag: 'pc' }],
    ['full, a picture without deep shadows and lights', { codes: 'pc', tag: 'pc', black: 0.12, white: 0.8 }],
    ['narrow, black at 0 with noise', { codes: 'tv', tag: 'tv', black: 0, noise: 0.008 }],
    ['full, black at 5 %', { codes: 'pc', tag: 'pc', black: 0.05, white: 0.9, noise: 0.006 }],
  ] as const)('is silent about a right tag: %s', async (name, clip) => {
    expect(await doubts(name, clip)).toEqual([])
  })

  it('tells of full range that is tagged narrow, and of the patches that lie beyond', async () => {
    expect(await doubts('wrong-narrow', { codes: 'pc', tag: 'tv' })).toMatchObject([
      {
        code: 'range-doubtful',
        message: expect.stringMatching(/read as narrow range.*dark skin at -\d %.*range: full/),
      },
    ])
  })

  it('tells of narrow range that is tagged full', async () => {
    expect(await doubts('wrong-full', { codes: 'tv', tag: 'pc' })).toMatchObject([
      { code: 'range-doubtful', message: expect.stringMatching(/read as full range.*range: narrow/) },
    ])
  })

  it('leaves it to whoever has set the range', async () => {
    expect(await doubts('set', { codes: 'pc', tag: 'tv', range: 'narrow' })).toEqual([])
    expect(await doubts('set-full', { codes: 'tv', tag: 'pc', range: 'full' })).toEqual([])
  })
})
