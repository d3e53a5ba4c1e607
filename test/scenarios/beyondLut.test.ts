import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { encodeRgb, type Readings, resolveEncoding } from '@isochip/core'
import { readingsToCsv } from '@isochip/frames'
import { expect, test } from 'vitest'
import { runCommand } from './support/runCommand.ts'
import { smallCameras, smallReadings, writeSmallShow } from './support/smallShow.ts'

/** A camera that records light as it is, with twice the exposure: white lies above 1. */
function bright(): Readings {
  const camera = { ...smallCameras[0]!, encoding: 'linear' as const }
  const linear = resolveEncoding('linear')
  const { patches } = smallReadings(camera)
  return {
    patches: patches.map((one) => ({
      ...one,
      // None is at the end of anything: floats have none.
      clipped: 0,
      rgb: encodeRgb(linear, [2 * one.rgb[0], 2 * one.rgb[1], 2 * one.rgb[2]]),
    })),
  }
}

const showText = (formats: string) => `isochip: 1
title: Bright
chart: chart24
target: { camera: wide }
output: { formats: [${formats}] }
cameras:
  - { id: wide, encoding: bt709, readings: wide.csv }
  - { id: lamp, encoding: linear, readings: lamp.csv }
`

test('patches that a .cube does not reach are named, by match and by verify, which do not blame the file', async () => {
  const folder = await writeSmallShow({
    'wide.csv': readingsToCsv(smallReadings(smallCameras[0]!)),
    'lamp.csv': readingsToCsv(bright()),
    'cube.yaml': showText('cube'),
    'clf.yaml': showText('clf'),
  })
  const match = async (name: string) => {
    const done = await runCommand('match', join(folder, `${name}.yaml`), '--out', join(folder, name))
    expect(done.status).toBe(0)
    const file = join(folder, name, 'default', 'lamp.match.json')
    return /[^"]*code values outside 0…1[^"]*/.exec(readFileSync(file, 'utf8'))?.[0]
  }
  expect(await match('clf')).toBeUndefined()
  const told = await match('cube')
  // Twice the light of a white of reflectance 0.9; cyan lies outside BT.709 and has negative red. A grey of 0.2 is inside.
  expect(told).toMatch(/\bwhite\b/)
  expect(told).toMatch(/\bcyan\b/)
  expect(told).not.toMatch(/neutral 5/)
  expect(told).toContain('to 1.8')
  const verify = (name: string) =>
    runCommand('verify', join(folder, `${name}.yaml`), '--luts', join(folder, name))
  const cube = await verify('cube')
  expect(cube.status).toBe(3)
  const said = (cube.out + cube.err).replace(/\s+/g, ' ')
  expect(said).toContain('code values outside 0…1')
  expect(said).not.toContain('is not what its match file makes')
  const clf = await verify('clf')
  expect(clf.status).toBe(0)
  expect(clf.out + clf.err).not.toContain('outside')
})
