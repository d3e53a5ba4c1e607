import { mkdirSync } from 'node:fs'
import { join } from 'node:path'
import { createFrame, readingsToCsv } from '@isochip/frames'
import { encodeFrame } from '@isochip/frames/node'
import { describe, expect, test } from 'vitest'
import { filesBelow } from '../support/filesBelow.ts'
import { runCommand } from './support/runCommand.ts'
import {
  replaced,
  type SmallCamera,
  smallCameras,
  smallFrame,
  smallReadings,
  smallShowText,
  smallSize,
  writeSmallShow,
} from './support/smallShow.ts'

/*
 * Faults of frames, corners and what is on them, in a show of two cameras, so that nothing is left to deliver: exit
 * status 2, the file or the patch, a hint, and nothing written.
 */
const twoCameras = smallShowText
  .split('\n')
  .filter((line) => !line.includes('id: cross'))
  .join('\n')
const crane = smallCameras[2]!

async function match(files: Record<string, string | Uint8Array>) {
  const folder = await writeSmallShow({ 'show.yaml': twoCameras, ...files })
  const before = filesBelow(folder)
  const ran = await runCommand('match', join(folder, 'show.yaml'))
  return { ...ran, folder, untouched: filesBelow(folder).join() === before.join() }
}

async function expectFault(
  files: Record<string, string | Uint8Array>,
  file: string,
  message: string | RegExp,
) {
  const { status, out, err, folder, untouched } = await match(files)
  expect(err).toContain(`error: ${join(folder, file)}`)
  expect(err).toMatch(message)
  expect(err).toContain('hint: ')
  expect(out).toBe('')
  expect(status).toBe(2)
  expect(untouched).toBe(true)
}

const corners = (text: string) => ({
  'show.yaml': twoCameras.replace(/(id: crane.*corners: ).*( })/, `$1${text}$2`),
})

describe('a faulty frame', () => {
  test('cut off', async () => {
    const whole = await smallFrame(crane)
    await expectFault(
      { 'crane-1.png': whole.subarray(0, whole.length >> 1) },
      'crane-1.png',
      /, camera crane, setup default: broken PNG file/,
    )
  })
  test('empty', () => expectFault({ 'crane-1.png': '' }, 'crane-1.png', /the file is empty/))
  test('of another format', () =>
    expectFault(
      { 'crane-1.png': 'GIF89a, or so it says' },
      'crane-1.png',
      /a GIF picture: no format that can be read/,
    ))
  test('of another size than its neighbour', async () => {
    await expectFault(
      { 'crane-2.png': await smallFrame(crane, { width: 500, height: 320 }) },
      'crane-2.png',
      /has 500 × 320 pixels of 16 bits/,
    )
  })
  test('a folder called like a frame', async () => {
    const folder = await writeSmallShow({ 'show.yaml': replaced(twoCameras, 'crane-*.png', 'crane.png') })
    mkdirSync(join(folder, 'crane.png'))
    const { status, err } = await runCommand('match', join(folder, 'show.yaml'))
    expect(err).toContain('crane.png is a folder')
    expect(status).toBe(2)
  })
  test('a pattern that no file matches', () =>
    expectFault(
      { 'show.yaml': replaced(twoCameras, 'crane-*.png', 'crane_*.png') },
      'show.yaml',
      /no file matches crane_\*\.png/,
    ))
})

describe('faulty corners', () => {
  test('outside the frame', () =>
    expectFault(
      corners('[[40, 40], [540, 40], [440, 300], [40, 300]]'),
      'crane-1.png',
      /corner \[540, 40\] lies outside the frame of 480 × 320 pixels/,
    ))
  test('crossed', () =>
    expectFault(
      corners('[[40, 40], [440, 300], [440, 40], [40, 300]]'),
      'crane-1.png',
      /cross, or one lies inside/,
    ))
  test('on a line', () =>
    expectFault(corners('[[40, 40], [240, 40], [440, 40], [40, 300]]'), 'crane-1.png', /lie on a line/))
  test('anticlockwise', () =>
    expectFault(corners('[[40, 40], [40, 300], [440, 300], [440, 40]]'), 'crane-1.png', /run anticlockwise/))
  test('too close together', () =>
    expectFault(
      corners('[[40, 40], [50, 40], [50, 50], [40, 50]]'),
      'crane-1.png',
      /the patch is [\d.]+ × [\d.]+ pixels, its sampled part \d+ of them/,
    ))
})

describe('a chart that carries no match', () => {
  const seen = async (matrix: SmallCamera['matrix'], lift: SmallCamera['lift'] = [0, 0, 0]) => ({
    'crane-1.png': await smallFrame({ ...crane, matrix, lift }),
  })
  const message = (text: RegExp, files: Record<string, string | Uint8Array>) =>
    match(files).then(({ status, out, err, untouched }) => {
      expect(err).toMatch(/^error: camera crane, setup default/)
      expect(err).toMatch(text)
      expect(out).toBe('')
      expect(status).toBe(2)
      expect(untouched).toBe(true)
    })
  test('everything clipped', async () => {
    const white = createFrame(
      smallSize.width,
      smallSize.height,
      new Uint16Array(3 * smallSize.width * smallSize.height).fill(65535),
      16,
    )
    await message(/clipped/, { 'crane-1.png': await encodeFrame(white, { format: 'png' }) })
  })
  test('all patches grey, from frames: noise hides the rank, and still no matrix comes of it', async () => {
    const third = 1 / 3
    await message(
      /the model lift-gain-matrix/,
      await seen([
        [third, third, third],
        [third, third, third],
        [third, third, third],
      ]),
    )
  })
  test('all patches grey, from readings', async () => {
    const third = 1 / 3
    const row = [third, third, third] as const
    const grey = { ...smallCameras[1]!, matrix: [row, row, row] as const, lift: [0, 0, 0] as const }
    const show = smallShowText.split('\n').filter((line) => !line.includes('id: crane'))
    const { status, out, err, untouched } = await match({
      'show.yaml': show.join('\n'),
      'cross.csv': readingsToCsv(smallReadings(grey)),
    })
    expect(err).toMatch(
      /^error: camera cross, setup default: .* rank 2 of 4\n {2}hint: are all patches of one colour/,
    )
    expect({ status, out, untouched }).toEqual({ status: 2, out: '', untouched: true })
  })
  test('too few patches for the model', async () => {
    await message(
      /too few|patches/,
      await seen([
        [9, 0, 0],
        [0, 9, 0],
        [0, 0, 9],
      ]),
    )
  })
})
