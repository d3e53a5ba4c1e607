import { execFileSync } from 'node:child_process'
import { join } from 'node:path'
import { thinFrame, thinUnit } from '@isochip/frames'
import { decodeFootage } from '@isochip/frames/node'
import { expect, it } from 'vitest'
import { differences, scopeStandard } from '../../packages/page/src/scopes/standard.ts'
import { placeOfDifference, vectorTrace } from '../../packages/page/src/scopes/trace.ts'
import { consumer } from '../support/consumer.ts'
import { scratchFolder } from '../support/scratchFolder.ts'

const ffmpeg = consumer('ffmpeg')
const [width, height] = [320, 180]

ffmpeg.describe('scopes, against ffmpeg’s own pixels', () => {
  const folder = scratchFolder('scopes')
  const run = (...words: string[]) =>
    execFileSync(ffmpeg.command!, ['-v', 'error', '-y', ...words], { maxBuffer: 2 ** 28 })

  /** A source of ffmpeg as a clip, decoded by us, and its planes Y′, C_B, C_R as ffmpeg has them. */
  async function taken(source: string, matrix: 'bt709' | 'bt2020nc', tagged: 'tv' | 'pc', format: string) {
    const clip = join(folder, `${source.replace(/\W.*/, '')}-${matrix}-${tagged}.mkv`)
    const tags = ['-colorspace', matrix, '-color_range', tagged]
    const input = ['-f', 'lavfi', '-i', `${source}=size=${width}x${height}:rate=1:duration=1`]
    const scale = [
      '-vf',
      `scale=out_color_matrix=${matrix === 'bt709' ? 'bt709' : 'bt2020'}:out_range=${tagged}`,
    ]
    run(...input, ...scale, '-pix_fmt', format, ...tags, '-c:v', 'ffv1', '-frames:v', '1', clip)
    const raw = run('-i', clip, '-pix_fmt', format, '-f', 'rawvideo', '-')
    const planes = new Uint16Array(raw.buffer.slice(raw.byteOffset, raw.byteOffset + raw.byteLength))
    const [frame] = await decodeFootage(clip, { count: 1 })
    return { thin: thinFrame(frame!, 'full', width), planes }
  }

  it.each([
    ['smptehdbars', 'bt709', 'tv'],
    ['yuvtestsrc', 'bt709', 'tv'],
    ['rgbtestsrc', 'bt709', 'pc'],
    ['rgbtestsrc', 'bt2020nc', 'tv'],
    ['smptehdbars', 'bt2020nc', 'tv'],
  ] as const)('%s in %s, range %s: Y′, C_B and C_R of every pixel', async (source, matrix, range) => {
    const { thin, planes } = await taken(source, matrix, range, 'yuv444p10le')
    const primaries = matrix === 'bt709' ? 'bt709' : 'bt2020'
    const { luma } = scopeStandard({ transfer: 'bt709', primaries, range: 'narrow' })
    const size = width * height
    expect(planes).toHaveLength(3 * size)
    expect(new Set(planes).size).toBeGreaterThan(10)
    // ITU-R BT.709-6, item 4.6, and for full range BT.2100-2, table 9.
    const code = ([y, cb, cr]: readonly [number, number, number]) =>
      range === 'tv'
        ? [64 + 876 * y, 512 + 896 * cb, 512 + 896 * cr]
        : [1023 * y, 512 + 1023 * cb, 512 + 1023 * cr]
    let most = 0
    for (let i = 0; i < size; i++) {
      const [r, g, b] = [0, 1, 2].map((c) => thin.data[3 * i + c]! / thinUnit)
      const ours = code(differences(luma, r!, g!, b!))
      for (let c = 0; c < 3; c++) most = Math.max(most, Math.abs(ours[c]! - planes[c * size + i]!))
    }
    // A level is kept to 1/8192; a difference is two of them over 1.5 to 1.9: a seventh of a code.
    expect(most).toBeLessThan(0.15)
  })

  it('the vectorscope has its light where ffmpeg has its codes', async () => {
    const { thin, planes } = await taken('smptehdbars', 'bt709', 'tv', 'yuv444p10le')
    const standard = scopeStandard({ transfer: 'bt709', primaries: 'bt709', range: 'narrow' })
    const side = 150
    const { hits } = vectorTrace({ ...thin, unit: thinUnit }, standard, side)
    const size = width * height
    const counted = new Uint32Array(side * side)
    for (let i = 0; i < size; i++) {
      const [cb, cr] = [planes[size + i]!, planes[2 * size + i]!].map((value) => (value - 512) / 896)
      counted[
        Math.floor(side - placeOfDifference(cr!, side)) * side + Math.floor(placeOfDifference(cb!, side))
      ]!++
    }
    const differ = hits.reduce((sum, count, at) => sum + Math.abs(count - counted[at]!), 0)
    // A point at the border of two cells may fall into either.
    expect(differ / size).toBeLessThan(0.02)
    expect(hits.filter((count) => count > 0).length).toBeGreaterThan(6)
  })
})
