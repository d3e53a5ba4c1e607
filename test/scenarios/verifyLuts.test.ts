import { cpSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { readClf } from '@isochip/export'
import { readingsToCsv } from '@isochip/frames'
import { type MatchFile, parseMatchFile } from '@isochip/show'
import type { Verification } from '@isochip/show/node'
import { describe, expect, test } from 'vitest'
import { fitted } from '../../packages/show/test/fitted.ts'
import { noControls } from '../support/noControls.ts'
import { copiedFolder, scratchFolder } from '../support/scratchFolder.ts'
import { runCommand } from './support/runCommand.ts'
import { replaced, type SmallCamera, smallCameras, smallReadings } from './support/smallShow.ts'

/* Which LUT is judged, by which patches, and against what: three cameras by their readings. */

const fixed = JSON.stringify(noControls)

const showText = `isochip: 1
title: Small show
chart: chart24
target: { camera: wide }
cameras:
  - { id: wide, encoding: bt709, readings: wide.csv, controls: ${fixed} }
  - { id: cross, encoding: srgb, readings: cross.csv, controls: ${fixed} }
  - { id: crane, encoding: bt709, readings: crane.csv, controls: ${fixed} }
`
const borrowing = `isochip: 1
title: Small show
chart: chart24
target: { camera: wide }
cameras:
  - { id: wide, encoding: bt709, shots: [{ setup: day, readings: wide.csv }, { setup: night, readings: wide.csv }] }
  - { id: cross, encoding: srgb, shots: [{ setup: day, readings: cross.csv }, { setup: night, borrow: day }], controls: ${fixed} }
`

const cross = smallCameras[1]!
const opened: SmallCamera = {
  ...cross,
  matrix: cross.matrix.map((row) => row.map((value) => 1.2 * value)) as unknown as SmallCamera['matrix'],
}

function writeShow(text = showText, folder = scratchFolder('verify-luts')): string {
  for (const camera of smallCameras)
    writeFileSync(join(folder, `${camera.id}.csv`), readingsToCsv(smallReadings(camera)))
  writeFileSync(join(folder, 'show.yaml'), text)
  return folder
}

const match = (folder: string) => runCommand('match', join(folder, 'show.yaml'))

/** The show as it stands above, matched. */
const matchedShow = () =>
  copiedFolder('verify-luts-matched', async (folder) => {
    expect((await match(writeShow(showText, folder))).status).toBe(0)
  })

async function verify(folder: string, luts = join(folder, 'isochip-out')) {
  const { status, out, err } = await runCommand('verify', join(folder, 'show.yaml'), '--luts', luts, '--json')
  const found = JSON.parse(out) as Verification
  const of = (camera: string, setup?: string) =>
    found.setups
      .flatMap((one) => one.cameras.map((verified) => ({ setup: one.setup, ...verified })))
      .find((one) => one.camera === camera && (setup === undefined || one.setup === setup))!
  return { status, err, found, of }
}

const matchFile = (folder: string, camera: string): Promise<MatchFile> =>
  parseMatchFile(readFileSync(join(folder, 'isochip-out', 'default', `${camera}.match.json`), 'utf8'))

const codes = (warnings: readonly { readonly code: string }[]) => warnings.map(({ code }) => code)

describe('verify: which LUT', () => {
  test('those for LUT boxes of live productions, where there are no others', async () => {
    const folder = writeShow(showText.replace('cameras:', 'output: { formats: [clf-live] }\ncameras:'))
    expect((await match(folder)).status).toBe(0)
    const path = join(folder, 'isochip-out', 'default', 'cross.live.clf')
    expect(readClf(readFileSync(path)).list.profile).toBeDefined()
    const { status, of } = await verify(folder)
    expect(status).toBe(0)
    expect(of('cross')).toBeDefined()
    // A second run replaces its own files.
    expect((await match(folder)).status).toBe(0)
  })
  test('a .cube left from an earlier run does not stand for the .clf that the match file makes', async () => {
    const folder = await matchedShow()
    // Another day, other readings, and only Common LUT Format files are wanted: the .cube of the first run stays.
    writeFileSync(join(folder, 'cross.csv'), readingsToCsv(smallReadings(opened)))
    writeFileSync(join(folder, 'show.yaml'), `${showText}output: { formats: [clf] }\n`)
    expect((await match(folder)).status).toBe(0)
    for (const formats of ['[clf]', '[cube, clf]']) {
      writeFileSync(join(folder, 'show.yaml'), `${showText}output: { formats: ${formats} }\n`)
      const { status, err, of } = await verify(folder)
      expect(status).toBe(0)
      expect(of('cross').lut).toBe('default/cross.clf')
      expect(codes(of('cross').warnings)).toEqual(['luts-differ'])
      expect(err).toContain('default/cross.clf and default/cross.cube are not the same LUT')
      // The other camera's files differ by interpolation only.
      expect(of('crane').warnings).toEqual([])
    }
  })

  test('a LUT that is not what its match file makes is told of', async () => {
    const folder = await matchedShow()
    const luts = join(folder, 'isochip-out', 'default')
    cpSync(join(luts, 'crane.cube'), join(luts, 'cross.cube'))
    const { status, of } = await verify(folder)
    expect(status).toBe(3)
    // The list of checksums tells of it too.
    expect(codes(of('cross').warnings)).toEqual(['files-mixed', 'lut-not-of-match'])
    expect(of('crane').warnings).toEqual([])
  })

  test('a camera that failed in the last run has its LUT from the one before', async () => {
    const folder = await matchedShow()
    renameSync(join(folder, 'cross.csv'), join(folder, 'away.csv'))
    expect((await match(folder)).status).toBe(2)
    renameSync(join(folder, 'away.csv'), join(folder, 'cross.csv'))
    const { status, of } = await verify(folder)
    expect(status).toBe(0)
    expect(codes(of('cross').warnings)).toEqual(['lut-of-earlier-run'])
    expect(of('crane').warnings).toEqual([])
  })

  test('LUTs of others: one per camera for all setups, and none for the target', async () => {
    const folder = await matchedShow()
    const luts = scratchFolder('foreign')
    cpSync(join(folder, 'isochip-out', 'default', 'cross.cube'), join(luts, 'cross.CUBE'))
    await runCommand(
      'bake',
      join(folder, 'isochip-out', 'default', 'crane.match.json'),
      '--format',
      'clf',
      '--out',
      join(luts, 'crane.clf'),
    )
    const { status, of } = await verify(folder, luts)
    expect(status).toBe(0)
    expect(of('wide')).toMatchObject({ isTarget: true, within: true })
    expect(of('wide').lut).toBeUndefined()
    expect([of('cross').lut, of('crane').lut]).toEqual(['cross.CUBE', 'crane.clf'])
    for (const camera of ['cross', 'crane']) {
      expect(of(camera).now!.mean).toBeLessThan(0.3)
      expect(of(camera).made).toBeUndefined()
    }
  })

  test('one LUT for all setups comes with the match file of one: the past is told of that one only', async () => {
    const folder = writeShow(borrowing.replace('borrow: day', 'readings: cross.csv'))
    await match(folder)
    const luts = scratchFolder('flat')
    for (const ending of ['cube', 'match.json'])
      cpSync(join(folder, 'isochip-out', 'day', `cross.${ending}`), join(luts, `cross.${ending}`))
    const { status, of } = await verify(folder, luts)
    expect(status).toBe(0)
    expect(of('cross', 'day').made!.mean).toBeLessThan(1)
    expect(of('cross', 'day').warnings).toEqual([])
    expect(of('cross', 'night')).toMatchObject({ lut: 'cross.cube', within: true })
    expect(of('cross', 'night').made ?? of('cross', 'night').drift).toBeUndefined()
    expect(codes(of('cross', 'night').warnings)).toEqual(['other-setup'])
  })

  test('a 1D LUT is one too', async () => {
    const folder = writeShow()
    const luts = scratchFolder('curve')
    const curve = 'LUT_1D_SIZE 2\n0 0 0\n1 1 1\n'
    for (const camera of ['cross', 'crane']) writeFileSync(join(luts, `${camera}.cube`), curve)
    const { status, of } = await verify(folder, luts)
    // It changes nothing, so the cameras are as different as they were shot.
    expect(status).toBe(3)
    expect(of('cross').now!.mean).toBeGreaterThan(3)
  })
})

describe('verify: which patches, against what', () => {
  test('patches without weight, and those that the match left out, do not count', async () => {
    const folder = writeShow(`${showText}fit: { weights: { patches: { blue: 0 }, roles: { skin: 0 } } }\n`)
    const wide = smallReadings(smallCameras[0]!)
    const clipped = (patch: string, share: number) =>
      readingsToCsv({
        patches: wide.patches.map((one) => ({ ...one, clipped: one.patch === patch ? share : 0 })),
      })
    writeFileSync(join(folder, 'wide.csv'), clipped('white 9.5', 0.5))
    await match(folder)
    writeFileSync(join(folder, 'wide.csv'), clipped('yellow', 0.5))
    const { of } = await verify(folder)
    const { patches, leftOut, made, now } = of('cross')
    expect(patches).toHaveLength(24 - 5)
    expect(leftOut.map(({ patch }) => patch).sort()).toEqual(
      ['blue', 'dark skin', 'light skin', 'white 9.5', 'yellow'].sort(),
    )
    const reasons = new Map(leftOut.map(({ patch, reason }) => [patch, reason]))
    expect(reasons.get('blue')).toBe('weight 0 was asked for')
    expect(reasons.get('white 9.5')).toBe('had no part in the match')
    expect(reasons.get('yellow')).toMatch(/^clipped .*, in the target$/)
    // The same patches then as now, so that the two figures can be held against each other.
    expect(Math.abs(made!.mean - now!.mean)).toBeLessThan(1e-4)
  })

  test.each(['scene', 'display'])('colour differences are those of the show: %s', async (view) => {
    const folder = writeShow(`${showText}fit: { view: ${view} }\noutput: { formats: [clf] }\n`)
    await match(folder)
    const { summary } = fitted(await matchFile(folder, 'cross'))
    const { found, of } = await verify(folder)
    expect(found.view).toBe(view)
    // A Common LUT Format file is not sampled, so nothing but what the target's code values clip lies between the two.
    expect(Math.abs(of('cross').now!.mean - summary.after.mean)).toBeLessThan(0.1)
    // Then and now are in the view of the show, in which view the match was ever fitted.
    const other = view === 'scene' ? 'display' : 'scene'
    writeFileSync(
      join(folder, 'show.yaml'),
      `${showText}fit: { view: ${other} }\noutput: { formats: [clf] }\n`,
    )
    writeFileSync(join(folder, 'cross.csv'), readingsToCsv(smallReadings(opened)))
    const later = (await verify(folder)).of('cross')
    expect(Math.abs(later.made!.mean - summary.after.mean)).toBeLessThan(0.15)
    expect(later.now!.mean).toBeGreaterThan(1)
  })

  test('light that was divided out at the match is still in what goes through the LUT', async () => {
    const folder = writeShow(`${showText}fit: { evenness: divide }\n`)
    const uneven = smallReadings(cross).patches.map((one, index) => {
      const [r, g, b] = one.rgb
      const factor = 1 - 0.02 * (index % 6)
      return { ...one, rgb: [factor * r, factor * g, factor * b] as const }
    })
    writeFileSync(join(folder, 'cross.csv'), readingsToCsv({ patches: uneven }))
    await match(folder)
    const file = fitted(await matchFile(folder, 'cross'))
    expect(file.diagnosis.evenness?.divided).toBe(true)
    const { now, made } = (await verify(folder)).of('cross')
    expect(Math.abs(now!.mean - made!.mean)).toBeLessThan(1e-3)
    // The figure of the match is of evened light, and would have looked like a change.
    expect(now!.mean - file.summary.after.mean).toBeGreaterThan(0.5)
  })

  test('made for another target: how far it was then is not held against now', async () => {
    const folder = await matchedShow()
    writeFileSync(join(folder, 'show.yaml'), replaced(showText, '{ camera: wide }', '{ camera: crane }'))
    const { of } = await verify(folder)
    expect(of('cross').made).toBeUndefined()
    expect(codes(of('cross').warnings)).toEqual(['other-target'])
    expect(of('cross').drift!.dE00.whole).toBeLessThan(1e-6)
  })

  test('another encoding in the show: nothing is said of what has changed', async () => {
    const folder = await matchedShow()
    writeFileSync(join(folder, 'show.yaml'), replaced(showText, 'encoding: srgb', 'encoding: bt709'))
    const { of } = await verify(folder)
    expect(of('cross').drift).toBeUndefined()
    expect(codes(of('cross').warnings)).toEqual(['other-encoding'])
  })

  test('the mean of the cameras is that of the match files', async () => {
    const folder = writeShow(replaced(showText, '{ camera: wide }', '{ consensus: true }'))
    await match(folder)
    const { status, of } = await verify(folder)
    expect(status).toBe(0)
    for (const camera of ['wide', 'cross', 'crane'])
      expect(Math.abs(of(camera).now!.mean - of(camera).made!.mean)).toBeLessThan(1e-4)
    rmSync(join(folder, 'isochip-out', 'default', 'cross.match.json'))
    const without = await verify(folder)
    expect(without.status).toBe(2)
    expect(without.found.failures.map(({ code, place }) => [code, place.camera])).toEqual([
      ['target-invalid', 'cross'],
    ])
  })
})

describe('verify: borrowed matches', () => {
  test('are judged by the chart of the setup that they come from', async () => {
    const folder = writeShow(borrowing)
    await match(folder)
    const held = await verify(folder)
    expect(held.status).toBe(0)
    expect(held.of('cross', 'night')).toMatchObject({
      borrowed: 'day',
      lut: 'night/cross.cube',
      within: true,
    })
    expect(held.of('cross', 'night').patches).toEqual(held.of('cross', 'day').patches)

    writeFileSync(join(folder, 'cross.csv'), readingsToCsv(smallReadings(opened)))
    const moved = await verify(folder)
    expect(moved.status).toBe(3)
    for (const setup of ['day', 'night']) {
      expect(moved.of('cross', setup).within).toBe(false)
      expect(moved.of('cross', setup).drift!.exposure).toBeCloseTo(Math.log2(1.2), 2)
    }
    const text = await runCommand('verify', join(folder, 'show.yaml'), '--luts', join(folder, 'isochip-out'))
    expect(text.out).toContain('cross  no longer holds, by the chart of day')
  })

  test('a borrowed LUT that is not there is missed', async () => {
    const folder = writeShow(borrowing)
    await match(folder)
    rmSync(join(folder, 'isochip-out', 'night', 'cross.cube'))
    const { status, found } = await verify(folder)
    expect(status).toBe(2)
    expect(found.failures[0]).toMatchObject({
      code: 'lut-syntax',
      place: { camera: 'cross', setup: 'night' },
    })
  })
})
