import { rmSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { apply3, inverse3 } from '@isochip/core'
import { readingsToCsv } from '@isochip/frames'
import type { VerificationFile } from '@isochip/show/node'
import { describe, expect, test } from 'vitest'
import { verificationFile } from '../../packages/show/src/verify/verificationShape.ts'
import { copyOfMatched } from './support/matchedSmallShow.ts'
import { runCommand } from './support/runCommand.ts'
import { type SmallCamera, smallCameras, smallReadings, writeSmallShow } from './support/smallShow.ts'

const cross = smallCameras[1]!

/** A matched show whose camera `cross` has since changed; what verify says of it. */
async function afterChange(change: Partial<SmallCamera>, prepare: (luts: string) => void = () => undefined) {
  const folder = await copyOfMatched()
  const show = join(folder, 'show.yaml')
  writeFileSync(join(folder, 'cross.csv'), readingsToCsv(smallReadings({ ...cross, ...change })))
  const luts = join(folder, 'isochip-out')
  prepare(luts)
  const argv = ['verify', show, '--luts', luts]
  const json = await runCommand(...argv, '--json')
  const found = JSON.parse(json.out) as VerificationFile
  // The document is what its schema says, and nothing besides.
  expect(verificationFile.parse(found)).toEqual(found)
  const camera = found.setups[0]!.cameras.find((one) => one.camera === 'cross')!
  return { status: json.status, found, camera, text: async () => (await runCommand(...argv)).out }
}

/** The camera in a light of other levels: that changes what comes in, before the camera's own matrix. */
const scaled = (factors: readonly [number, number, number]) => ({
  matrix: cross.matrix.map((row) =>
    row.map((value, c) => value * factors[c]!),
  ) as unknown as SmallCamera['matrix'],
})

describe('verify', () => {
  test('LUTs hold where nothing has changed', async () => {
    const { status, found, camera, text } = await afterChange({})
    expect(status).toBe(0)
    expect(found.isochip).toBe('verify/1')
    expect(camera.within).toBe(true)
    // The same readings: the LUT adds its interpolation, and nothing else differs from when it was made.
    expect(Math.abs(camera.now!.mean - camera.made!.mean)).toBeLessThan(0.3)
    expect(camera.drift!.dE00.whole).toBeLessThan(1e-6)
    const words = await text()
    expect(words).toContain('All 2 LUTs still hold.')
    expect(words).toContain('no change at the camera')
    for (const line of words.split('\n')) expect(line.length, line).toBeLessThanOrEqual(80)
  })

  test('a camera that was opened by half a stop: exposure, and nothing else', async () => {
    const factor = 2 ** 0.5
    const { status, camera, text } = await afterChange(scaled([factor, factor, factor]))
    expect(status).toBe(3)
    expect(camera.within).toBe(false)
    expect(camera.drift!.exposure).toBeCloseTo(0.5, 3)
    expect(camera.drift!.whiteBalance.redOverGreen).toBeCloseTo(1, 3)
    expect(camera.drift!.dE00.whole).toBeGreaterThan(3)
    expect(camera.drift!.dE00.withoutExposure).toBeLessThan(0.01)
    const words = await text()
    expect(words).toContain('1 of 2 LUTs no longer holds')
    expect(words).toMatch(/exposure +\+0\.50 stop/)
  })

  test('a white balance that moved', async () => {
    const { status, camera } = await afterChange(scaled([1.08, 1, 0.9]))
    expect(status).toBe(3)
    const { whiteBalance, dE00 } = camera.drift!
    expect(whiteBalance.redOverGreen).toBeCloseTo(1.08, 3)
    expect(whiteBalance.blueOverGreen).toBeCloseTo(0.9, 3)
    // More red and less blue is a warmer picture.
    expect(whiteBalance.mired).toBeGreaterThan(5)
    expect(dE00.withoutExposure).toBeGreaterThan(1)
    expect(dE00.withoutWhiteBalance).toBeLessThan(0.01)
  })

  test('a black that was lifted', async () => {
    const { status, camera } = await afterChange({ lift: [0.019, 0.017, 0.021] })
    expect(status).toBe(3)
    const { black, dE00 } = camera.drift!
    // 0.015 in each channel of the camera, in the picture of the target: through the inverse of its matrix.
    const expected = apply3(inverse3(cross.matrix), [1.5, 1.5, 1.5])
    black.forEach((channel, c) => {
      expect(Math.abs(channel - expected[c]!)).toBeLessThan(0.02)
    })
    expect(dE00.withoutWhiteBalance).toBeGreaterThan(1)
    expect(dE00.withoutBlack).toBeLessThan(0.01)
  })

  test('another matrix in the camera: only colour takes it away', async () => {
    const { camera } = await afterChange({
      matrix: [
        [0.5, 0.12, 0.06],
        [0.1, 0.55, 0.1],
        [0.05, 0.15, 0.45],
      ],
    })
    const { dE00 } = camera.drift!
    expect(dE00.withoutBlack).toBeGreaterThan(1)
    expect(dE00.withoutColour).toBeLessThan(0.01)
  })

  test('a LUT of somebody else is judged too, without a past', async () => {
    const identity = [
      'LUT_3D_SIZE 2',
      '0 0 0',
      '1 0 0',
      '0 1 0',
      '1 1 0',
      '0 0 1',
      '1 0 1',
      '0 1 1',
      '1 1 1',
      '',
    ]
    const { status, camera } = await afterChange({}, (luts) => {
      rmSync(join(luts, 'default', 'cross.match.json'))
      writeFileSync(join(luts, 'default', 'cross.cube'), identity.join('\n'))
    })
    // A LUT that changes nothing leaves the cameras as different as they were shot.
    expect(status).toBe(3)
    expect(camera.now!.mean).toBeGreaterThan(3)
    expect(camera.drift).toBeUndefined()
    expect(camera.made).toBeUndefined()
  })

  test('a LUT that is not there does not stop the others', async () => {
    const { status, found, text } = await afterChange({}, (luts) =>
      rmSync(join(luts, 'default', 'crane.cube')),
    )
    expect(status).toBe(2)
    expect(found.failures).toHaveLength(1)
    expect(found.failures[0]).toMatchObject({
      code: 'lut-syntax',
      place: { camera: 'crane', setup: 'default' },
    })
    expect(found.setups[0]!.cameras.map(({ camera }) => camera)).toEqual(['wide', 'cross'])
    expect(await text()).toContain('1 LUT still holds; 1 could not be judged.')
  })

  test('a folder of LUTs that is not there is one error', async () => {
    const folder = await writeSmallShow()
    const ran = await runCommand('verify', join(folder, 'show.yaml'), '--luts', join(folder, 'nowhere'))
    expect(ran.status).toBe(2)
    expect(ran.err.match(/error:/g)).toHaveLength(1)
    expect(ran.err).toContain('there is no such folder of LUTs')
  })
})
