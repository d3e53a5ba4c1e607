import { createHash } from 'node:crypto'
import { cpSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { builtinChart, type Chart, type ChartGeometry, resolveEncoding } from '@isochip/core'
import { chartToJson, readingsToCsv } from '@isochip/frames'
import { decodeFrame } from '@isochip/frames/node'
import type { ShowCorners } from '@isochip/show'
import { matchShow, readShot } from '@isochip/show/node'
import { beforeAll, describe, expect, test } from 'vitest'
import { Memo } from '../../packages/show/src/memo/memo.ts'
import { filesBelow } from '../support/filesBelow.ts'
import { noControls } from '../support/noControls.ts'
import { replaced, smallCameras, smallFrame, smallReadings, writeSmallShow } from './support/smallShow.ts'

/*
 * What is kept must not be used where anything that it rests on is another. Each case changes one thing; a run that
 * knows the results of before must come to the files of one that knows nothing. Some of the changes leave every figure
 * of the match as it is and show in the text of the files alone: there nothing but the key tells the two apart.
 */

const base = `isochip: 1
title: Keys
chart: own.json
target: { camera: wide }
working: bt709
fit: { model: lift-gain, objective: perceptual }
output: { encoding: bt709, formats: [cube], size: 9, pictures: true }
tolerance: { mean: 1, max: 3 }
cameras:
  - id: wide
    encoding: bt709
    frames: wide.png
    corners: [[40, 40], [440, 40], [440, 300], [40, 300]]
  - { id: cross, encoding: srgb, readings: cross.csv, controls: ${JSON.stringify(noControls)} }
`
const primariesOfBt709 =
  '{ red: [0.64, 0.33], green: [0.3, 0.6], blue: [0.15, 0.06], white: [0.3127, 0.329] }'

const sum = (path: string) => createHash('sha256').update(readFileSync(path)).digest('hex')
const sums = (folder: string, names = filesBelow(folder)) =>
  Object.fromEntries(names.map((name) => [name, sum(join(folder, name))]))

let folder = ''
let before: Record<string, string> = {}

/** Matches the show as it stands in a file of this text. */
async function matched(text: string, out: string, cache: string | undefined) {
  writeFileSync(join(folder, 'show.yaml'), text)
  const { files } = await matchShow(join(folder, 'show.yaml'), {
    out: join(folder, out),
    workers: 0,
    ...(cache === undefined ? {} : { cache: join(folder, cache) }),
  })
  return sums(join(folder, out), [...files])
}

const chart = builtinChart('chart24')
const ownChart = { ...chart, id: 'own' }
const [first, ...rest] = chart.patches
/** Patches of a tenth of the grid, which it still fills. */
const small: Pick<ChartGeometry, 'pitch' | 'patch'> = {
  patch: [0.1, 0.1],
  pitch: [0.9 / (chart.columns - 1), 0.9 / (chart.rows - 1)],
}

beforeAll(async () => {
  folder = await writeSmallShow({ 'own.json': chartToJson(ownChart) })
  before = await matched(base, 'before', 'kept')
})

let count = 0
/** The new files, and that they are not those of before. */
async function renewed(text: string, changed: string): Promise<void> {
  const out = `out${count++}`
  const fresh = await matched(text, `${out}-fresh`, undefined)
  expect(fresh[changed], `${changed} does not depend on it: the case checks nothing`).not.toBe(
    before[changed],
  )
  cpSync(join(folder, 'before'), join(folder, out), { recursive: true })
  expect(await matched(text, out, 'kept')).toEqual(fresh)
}

const cross = 'default/cross.match.json'
const wide = 'default/wide.match.json'

describe('a result of an earlier run is not used again where', () => {
  test.each([
    ['the title is another', 'title: Keys', 'title: Other', cross],
    ['the target is another', '{ camera: wide }\n', '{ reference: D65 }\n', cross],
    [
      'the working primaries are given by their numbers',
      'working: bt709',
      `working: ${primariesOfBt709}`,
      cross,
    ],
    ['the working primaries are others', 'working: bt709', 'working: bt2020', cross],
    ['an option of the fit is spelled out', 'perceptual }', 'perceptual, evenness: report }', cross],
    ['the fit is another', 'perceptual }', 'linear }', cross],
    [
      'the output encoding is another',
      'output: { encoding: bt709',
      'output: { encoding: srgb',
      'default/cross.cube',
    ],
    ['the lattice is another', 'size: 9', 'size: 17', 'default/cross.cube'],
    ['a format is added', 'formats: [cube]', 'formats: [cube, clf]', 'default/cross.clf'],
    ['the tolerance is another', 'mean: 1,', 'mean: 0.001,', 'report.json'],
    ['the encoding of frames is another', 'encoding: bt709\n', 'encoding: srgb\n', wide],
    ['the encoding of readings is another', 'encoding: srgb,', 'encoding: bt709,', cross],
    ['the range is another', 'encoding: bt709\n', 'encoding: { transfer: bt709, range: narrow }\n', wide],
    ['what its controls can do is known', '"gains":"none"', '"gains":{"percent":1}', cross],
    ['the corners are others', '[40, 40]', '[42, 40]', wide],
    ['a camera has another id', 'id: cross', 'id: crux', 'default/crux.match.json'],
  ])('%s', async (_, from, to, changed) => {
    await renewed(replaced(base, from, to), changed)
  })

  test('the weights of the mean are spelled out', async () => {
    const mean = replaced(base, '{ camera: wide }\n', '{ consensus: true }\n')
    const spelled = replaced(mean, 'consensus: true', 'consensus: true, weights: { wide: 1 }')
    const old = await matched(mean, 'mean', 'kept')
    const fresh = await matched(spelled, 'mean-fresh', undefined)
    expect(fresh[cross]).not.toBe(old[cross])
    expect(await matched(spelled, 'mean', 'kept')).toEqual(fresh)
  })

  // The light of readings is the same in either range, and so is the match: of the LUT the codes that it gives out are others.
  test('the output follows a target camera that records in another range', async () => {
    const follows = replaced(
      replaced(base, '{ camera: wide }\n', '{ camera: cross }\n'),
      'output: { encoding: bt709',
      'output: { encoding: target',
    )
    const narrow = replaced(follows, 'encoding: srgb,', 'encoding: { transfer: srgb, range: narrow },')
    const lut = 'default/wide.cube'
    const old = await matched(follows, 'follows', 'kept')
    const fresh = await matched(narrow, 'follows-fresh', undefined)
    expect(fresh[lut]).not.toBe(old[lut])
    expect(await matched(narrow, 'follows', 'kept')).toEqual(fresh)
  })

  test('the light that the target names was measured again', async () => {
    const text = replaced(base, '{ camera: wide }\n', '{ reference: lamp.csv }\n')
    const lamp = (slope: number) =>
      writeFileSync(
        join(folder, 'lamp.csv'),
        Array.from({ length: 41 }, (_, i) => `${380 + 10 * i},${100 + slope * i}`).join('\n'),
      )
    lamp(5)
    const old = await matched(text, 'light', 'kept')
    lamp(-2)
    const fresh = await matched(text, 'light-fresh', undefined)
    expect(fresh[cross]).not.toBe(old[cross])
    expect(await matched(text, 'light', 'kept')).toEqual(fresh)
  })

  test('a reference value of the chart is another', async () => {
    const text = replaced(base, '{ camera: wide }\n', '{ reference: C }\n')
    const value = [0.4, 0.36, 0.11] as const
    expect(chart.reference?.space).toBe('xyY')
    const old = await matched(text, 'values', 'kept')
    writeFileSync(
      join(folder, 'own.json'),
      chartToJson({ ...ownChart, patches: [{ ...first!, value }, ...rest] }),
    )
    try {
      const fresh = await matched(text, 'values-fresh', undefined)
      expect(fresh[cross]).not.toBe(old[cross])
      expect(await matched(text, 'values', 'kept')).toEqual(fresh)
    } finally {
      writeFileSync(join(folder, 'own.json'), chartToJson(ownChart))
    }
  })

  test('pictures are no longer wanted, and then wanted again', async () => {
    const without = replaced(base, 'pictures: true', 'pictures: false')
    await renewed(without, 'report.html')
    const out = `out${count++}`
    cpSync(join(folder, 'before'), join(folder, out), { recursive: true })
    await matched(without, out, 'kept')
    expect(await matched(base, out, 'kept')).toEqual(before)
  })

  test('a frame is another', async () => {
    const old = readFileSync(join(folder, 'wide.png'))
    writeFileSync(join(folder, 'wide.png'), await smallFrame(smallCameras[2]!))
    await renewed(base, wide)
    writeFileSync(join(folder, 'wide.png'), old)
  })

  test('the library that decodes stills, or the program for the rest, is of another release', async () => {
    const memo = (stills: string, footage: string) =>
      new Memo(join(folder, 'releases'), undefined, {
        stills: () => Promise.resolve(stills),
        footage: () => Promise.resolve(footage),
      })
    const { width, height, data } = await decodeFrame(join(folder, 'wide.png'))
    // As a picture of 16 bits, the high byte first.
    const codes = Buffer.from(Uint16Array.from(data).buffer).swap16()
    writeFileSync(
      join(folder, 'wide.ppm'),
      Buffer.concat([Buffer.from(`P6 ${width} ${height} 65535\n`), codes]),
    )
    const read = async (frames: readonly string[], kept: Memo) => {
      const corners = [...base.matchAll(/\[(\d+), (\d+)\]/g)]
        .slice(0, 4)
        .map(([, x, y]) => [Number(x), Number(y)] as const) as unknown as ShowCorners
      const shot = { kind: 'frames', setup: 'default', frames, corners } as const
      const encoding = resolveEncoding('bt709')
      return (await readShot(shot, { chart, encoding, camera: 'wide', folder, place: {}, memo: kept })).cached
    }
    for (const [frames, other] of [
      [['wide.png'], memo('2', '1')],
      [['wide.ppm'], memo('1', '2')],
      // The second file has a say as well.
      [['wide.png', 'wide.ppm'], memo('1', '2')],
    ] as const) {
      expect(await read(frames, memo('1', '1'))).toBe(false)
      expect(await read(frames, memo('1', '1'))).toBe(true)
      expect(await read(frames, other)).toBe(false)
    }
  })

  test('readings are others', async () => {
    const old = readFileSync(join(folder, 'cross.csv'))
    writeFileSync(join(folder, 'cross.csv'), readingsToCsv(smallReadings(smallCameras[2]!)))
    await renewed(base, cross)
    writeFileSync(join(folder, 'cross.csv'), old)
  })

  test.each<[string, Chart, string]>([
    ['id', { ...ownChart, id: 'other' }, cross],
    ['geometry', { ...ownChart, geometry: { ...chart.geometry, ...small } }, wide],
    ['name of a patch', { ...ownChart, patches: [{ ...first!, name: 'darker skin' }, ...rest] }, wide],
  ])('the %s of the chart is another', async (_, other, changed) => {
    const csv = readFileSync(join(folder, 'cross.csv'), 'utf8')
    // Readings name patches as the chart does.
    const renamed = csv.replace(first!.name, other.patches[0]!.name)
    writeFileSync(join(folder, 'cross.csv'), renamed)
    writeFileSync(join(folder, 'own.json'), chartToJson(other))
    try {
      await renewed(base, changed)
    } finally {
      writeFileSync(join(folder, 'own.json'), chartToJson(ownChart))
      writeFileSync(join(folder, 'cross.csv'), csv)
    }
  })
})
