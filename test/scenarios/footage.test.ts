import { mkdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { decodeFrame } from '@isochip/frames/node'
import { parseMatchFile } from '@isochip/show'
import { expect, test } from 'vitest'
import { fitted } from '../../packages/show/test/fitted.ts'
import { consumer } from '../support/consumer.ts'
import { runCommand } from './support/runCommand.ts'
import { replaced, smallShowText, writeSmallShow } from './support/smallShow.ts'

const ffmpeg = consumer('ffmpeg')
/** Where readings alone are looked at. */
const bare = `fit: { model: gain, objective: linear }\noutput: { size: 2, pictures: false }\n`
/** ffmpeg makes footage of a picture. */
const footageOf = (picture: string, file: string, ...how: string[]) =>
  ffmpeg.run(['-loglevel', 'error', '-i', picture, ...how, file])

ffmpeg.describe('footage', () => {
  test('a chart in a DPX file gives the match of the same chart in a PNG file', async () => {
    const folder = await writeSmallShow({ 'show.yaml': replaced(smallShowText, 'crane-*.png', 'crane.dpx') })
    // ffmpeg 5.1 writes 10-bit RGB; the frames are the ones of the still.
    footageOf(join(folder, 'crane-1.png'), join(folder, 'crane.dpx'), '-pix_fmt', 'gbrp10le')
    const still = await writeSmallShow()
    const model = async (base: string) => {
      const { status, err } = await runCommand('match', join(base, 'show.yaml'))
      expect(err).toBe('')
      expect(status).toBe(0)
      const file = join(base, 'isochip-out', 'default', 'crane.match.json')
      return fitted(await parseMatchFile(readFileSync(file, 'utf8'), file))
    }
    const [dpx, png] = [await model(folder), await model(still)]
    expect(dpx.bits).toBe(10)
    expect(png.bits).toBe(16)
    for (const c of [0, 1, 2] as const) {
      // Rounding to 10 bits, over hundreds of noisy pixels a patch; ffmpeg scales 16 to 10 bits by 1/64, not 1023/65535.
      expect(Math.abs(dpx.model.gain[c] / png.model.gain[c] - 1)).toBeLessThan(0.005)
      for (const k of [0, 1, 2] as const)
        expect(Math.abs(dpx.model.matrix[c][k] - png.model.matrix[c][k])).toBeLessThan(0.01)
    }
  })

  test('a movie that is none: the file, and status 2', async () => {
    const two = smallShowText
      .split('\n')
      .filter((line) => !line.includes('id: cross'))
      .join('\n')
    const folder = await writeSmallShow({
      'show.yaml': replaced(two, 'crane-*.png', 'crane.mov'),
      'crane.mov': 'no movie',
    })
    const { status, err } = await runCommand('match', join(folder, 'show.yaml'))
    expect(err).toContain(
      `error: ${join(folder, 'crane.mov')}, camera crane, setup default: the first bytes are of no`,
    )
    expect(status).toBe(2)
  })

  test('a movie in which the chart comes late: its place by time or by frame, and several frames averaged', async () => {
    const folder = await writeSmallShow()
    // Two seconds of black, then one of the chart; ten frames a second, without loss.
    const black = ['-f', 'lavfi', '-i', 'color=black:size=480x320:rate=10:duration=2']
    const chart = ['-loop', '1', '-framerate', '10', '-t', '1', '-i', join(folder, 'crane-1.png')]
    const joined = '[0:v]format=gbrp16le[a];[1:v]format=gbrp16le[b];[a][b]concat'
    ffmpeg.run([
      ...['-loglevel', 'error', ...black, ...chart, '-filter_complex', joined],
      ...['-c:v', 'ffv1', '-pix_fmt', 'gbrp16le', join(folder, 'crane.mkv')],
    ])
    const text = `${smallShowText}output: { size: 2, pictures: false }\n`
    writeFileSync(join(folder, 'show.yaml'), text)
    // The other cameras are what they are in each show: they are read and matched once.
    const cache = ['--cache', join(folder, 'cache')]
    const still = await runCommand(
      'match',
      join(folder, 'show.yaml'),
      '--out',
      join(folder, 'still'),
      ...cache,
    )
    expect(still.status).toBe(0)
    const model = async (out: string) => {
      const file = join(folder, out, 'default', 'crane.match.json')
      return fitted(await parseMatchFile(readFileSync(file, 'utf8'), file)).model
    }
    for (const [name, at] of [
      ['time', '{ seconds: 2.3, count: 3 }'],
      ['frame', '{ frame: 25 }'],
    ] as const) {
      const show = join(folder, `${name}.yaml`)
      writeFileSync(show, replaced(text, 'crane-*.png', `crane.mkv, at: ${at}`))
      const { err, status } = await runCommand('match', show, '--out', join(folder, name), ...cache)
      expect(err).toBe('')
      expect(status).toBe(0)
      // The same picture: the same match, but for the rounding of a mean of three equal frames.
      const [movie, picture] = [await model(name), await model('still')]
      for (const c of [0, 1, 2] as const) {
        expect(movie.lift[c]).toBeCloseTo(picture.lift[c], 9)
        expect(movie.gain[c]).toBeCloseTo(picture.gain[c], 9)
        for (const k of [0, 1, 2] as const) expect(movie.matrix[c][k]).toBeCloseTo(picture.matrix[c][k], 9)
      }
    }
    const early = join(folder, 'early.yaml')
    writeFileSync(early, replaced(text, 'crane-*.png', 'crane.mkv'))
    const { status } = await runCommand('match', early, '--out', join(folder, 'early'), ...cache)
    expect(status).not.toBe(0)

    const corners = ['--corners', '40,40 440,40 440,300 40,300']
    const read = await runCommand(
      'read',
      join(folder, 'crane.mkv'),
      '--chart',
      'chart24',
      ...corners,
      '--seconds',
      '2.5',
    )
    const same = await runCommand('read', join(folder, 'crane-1.png'), '--chart', 'chart24', ...corners)
    expect(read.status).toBe(0)
    expect(read.out).toBe(same.out)
  })

  test('a movie or DPX by any name is known by its bytes, and a place in one that is a still is told', async () => {
    const folder = await writeSmallShow()
    const still = join(folder, 'crane-1.png')
    const [movie, dpx] = [join(folder, 'movie.png'), join(folder, 'still.tif')]
    footageOf(still, movie, '-c:v', 'ffv1', '-pix_fmt', 'gbrp16le', '-f', 'matroska')
    footageOf(still, dpx, '-c:v', 'dpx', '-pix_fmt', 'gbrp10le', '-f', 'image2', '-update', '1')
    const where = ['--chart', 'chart24', '--corners', '40,40 440,40 440,300 40,300']
    const same = await runCommand('read', still, ...where)
    expect((await runCommand('read', movie, ...where)).out).toBe(same.out)
    expect((await runCommand('read', dpx, ...where)).status).toBe(0)
    const placed = await runCommand('read', dpx, ...where, '--frame', '3')
    expect(placed.err).toContain('a place in a movie is given, and this is a still')
    const black = join(folder, 'black.mkv')
    const input = ['-f', 'lavfi', '-i', 'color=black:size=320x200', '-frames:v', '1', '-pix_fmt', 'yuv420p']
    ffmpeg.run(['-loglevel', 'error', ...input, '-c:v', 'ffv1', black])
    const early = await runCommand('read', black, '--chart', 'chart24')
    expect([early.status, early.err]).toEqual([2, expect.stringContaining('--seconds')])
    const many = await runCommand('read', movie, ...where, '--count', '0')
    expect([many.status, many.err]).toEqual([2, expect.stringContaining('--count is 0, expected 1 to 64')])
  })

  test('init: of a clip without a chart in its first frame it asks when the chart comes', async () => {
    const folder = await writeSmallShow()
    const clips = join(folder, 'clips')
    mkdirSync(clips)
    const black = ['-f', 'lavfi', '-i', 'color=black:size=480x320', '-frames:v', '1', '-c:v', 'ffv1']
    ffmpeg.run(['-loglevel', 'error', ...black, join(clips, 'wide.mkv')])
    // One that cannot be opened has no later frame either.
    writeFileSync(join(clips, 'crane.mkv'), 'no movie')
    const { status, out } = await runCommand('init', clips)
    expect(status).toBe(0)
    expect(out.match(/Does the chart come later/g)).toHaveLength(1)
    expect(out).toMatch(/# wide\.mkv: .*not found in the frame\n.*# Only the first frame was looked at\./)
    expect(out).toContain('at: { seconds:  }    # FILL IN')
    expect(out.match(/corners: \[\[/g)).toHaveLength(1)
    for (const line of out.split('\n')) expect(line.length, line).toBeLessThanOrEqual(100)
  })

  test('a clip with wrong tags: the show, and read, say how its Y′CbCr is to be read', async () => {
    const folder = await writeSmallShow()
    const still = join(folder, 'crane-1.png')
    // BT.709 in narrow range, and tagged as BT.601 in full range.
    footageOf(
      still,
      join(folder, 'crane.mkv'),
      ...['-frames:v', '1', '-vf', 'zscale=matrix=709:range=limited,format=yuv444p12le', '-c:v', 'ffv1'],
      ...['-colorspace', 'smpte170m', '-color_range', 'pc'],
    )
    const text = `${smallShowText}${bare}`
    const clip = replaced(text, 'crane-*.png', 'crane.mkv')
    const tags = 'ycbcr: { matrix: bt709, range: narrow }'
    const green = async (name: string, text: string) => {
      writeFileSync(join(folder, `${name}.yaml`), text)
      const cache = ['--cache', join(folder, 'cache')]
      const { status } = await runCommand(
        ...['match', join(folder, `${name}.yaml`), '--out', join(folder, name), ...cache],
      )
      expect(status).not.toBe(2)
      const file = join(folder, name, 'default', 'crane.match.json')
      const { patches, warnings } = await parseMatchFile(readFileSync(file, 'utf8'), file)
      return { levels: patches.map(({ source }) => source[1]), codes: warnings.map(({ code }) => code) }
    }
    const right = await green('still', text)
    const wrong = await green('wrong', clip)
    const told = await green('told', clip.replace('id: crane,', `id: crane, ${tags},`))
    const apart = ({ levels }: typeof right) =>
      Math.max(...levels.map((level, i) => Math.abs(level - right.levels[i]!)))
    // Rounding to twelve bits and the mean of a thousand pixels; black at 16 of 256 taken for light is far more.
    expect(apart(told)).toBeLessThan(0.0005)
    expect(apart(wrong)).toBeGreaterThan(0.005)
    expect(told.codes).not.toContain('ycbcr-unused')
    const idle = await green('idle', text.replace('id: crane,', `id: crane, ${tags},`))
    expect(idle.codes).toContain('ycbcr-unused')

    const where = ['--chart', 'chart24', '--corners', '40,40 440,40 440,300 40,300']
    const rows = async (...more: string[]) => {
      const { out } = await runCommand('read', ...where, ...more)
      return out
        .split('\n')
        .slice(1, 25)
        .map((line) => Number(line.split(',')[2]))
    }
    const [of, as] = [
      await rows(still),
      await rows(join(folder, 'crane.mkv'), '--ycbcr-matrix', 'bt709', '--ycbcr-range', 'narrow'),
    ]
    expect(Math.max(...of.map((level, i) => Math.abs(level - as[i]!)))).toBeLessThan(0.0005)
  })

  test('a Y′CbCr movie is shown as the still is: its levels have the curve of the camera already', async () => {
    const folder = await writeSmallShow()
    // Chroma as fine as luma, 12 bits, no loss: what differs is rounding.
    footageOf(
      join(folder, 'crane-1.png'),
      join(folder, 'crane.mkv'),
      ...['-frames:v', '1', '-vf', 'zscale=matrix=709:range=limited,format=yuv444p12le', '-c:v', 'ffv1'],
      ...['-colorspace', 'bt709', '-color_range', 'tv'],
    )
    const show = join(folder, 'movie.yaml')
    const cache = ['--cache', join(folder, 'cache')]
    writeFileSync(show, replaced(smallShowText, 'crane-*.png', 'crane.mkv'))
    const picture = async (file: string, out: string) => {
      const { err, status } = await runCommand('match', file, '--out', join(folder, out), ...cache)
      expect([err, status]).toEqual(['', 0])
      return (await decodeFrame(join(folder, out, 'default', 'crane.sampling.png'))).data
    }
    const still = await picture(join(folder, 'show.yaml'), 'still')
    const movie = await picture(show, 'movie')
    expect(movie.length).toBe(still.length)
    // Rounding to 12 bits and to the nearer of two 8-bit codes.
    const apart = Array.from(movie, (code, i) => Math.abs(code - still[i]!))
    expect(apart.reduce((most, one) => Math.max(most, one))).toBeLessThanOrEqual(1)

    // Whether a clip's range is narrow is in its tags; the show can only mean the LUT.
    const narrow = join(folder, 'narrow.yaml')
    const encoding = 'encoding: { transfer: bt709, range: narrow }'
    const text = replaced(smallShowText, 'crane-*.png', 'crane.mkv')
    writeFileSync(narrow, text.replace(/(id: crane, )encoding: bt709/, `$1${encoding}`))
    expect(readFileSync(narrow, 'utf8')).toContain(encoding)
    await runCommand('match', narrow, '--out', join(folder, 'narrow'), ...cache)
    const told = (out: string) =>
      readFileSync(join(folder, out, 'report.json'), 'utf8').includes('"narrow-levels"')
    expect([told('movie'), told('narrow')]).toEqual([false, true])
  })
})

test('a place in a still, and two places at once, are told', async () => {
  const folder = await writeSmallShow({
    'still.yaml': replaced(smallShowText, 'crane-*.png', 'crane-*.png, at: { frame: 3 }'),
    'both.yaml': replaced(smallShowText, 'crane-*.png', 'crane-*.png, at: { frame: 3, seconds: 1 }'),
  })
  const still = await runCommand('match', join(folder, 'still.yaml'))
  expect(still.status).toBe(2)
  expect(still.err).toContain('a place in a movie is given, and this is a still')
  const both = await runCommand('match', join(folder, 'both.yaml'))
  expect(both.status).toBe(2)
  expect(both.err).toContain('has both seconds and a frame to begin at')
})
