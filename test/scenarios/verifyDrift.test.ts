import { cpSync, mkdirSync, writeFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { createFrame } from '@isochip/frames'
import { encodeFrame } from '@isochip/frames/node'
import { kelvinAfter } from '@isochip/show'
import type { Verification } from '@isochip/show/node'
import { type HarbourChange, type HarbourSetup, renderHarbourKitchen } from '@isochip/synthetic'
import { beforeAll, describe, expect, test } from 'vitest'
import { copiedFolder, keptFolder, scratchFolder } from '../support/scratchFolder.ts'
import { wholeTask } from '../support/wholeTask.ts'
import { runCommand } from './support/runCommand.ts'

/*
 * The demo show is matched, and its charts are shot again on another day: other noise, and in each case one camera whose
 * exposure and light were moved when its frames were rendered. What was rendered is the truth.
 */

const size = { width: 640, height: 360 }
let luts = ''
let show = ''

/** The illuminants of the two setups and their temperatures: CIE 015, D65 and A. */
const lights = {
  day: { illuminant: 'D65', kelvin: 6504 },
  evening: { illuminant: 'A', kelvin: 2856 },
} as const

async function write(folder: string, change: HarbourChange, only?: { camera: string; setup: HarbourSetup }) {
  const kitchen = renderHarbourKitchen(size, change)
  for (const shot of kitchen.shots) {
    if (only !== undefined && (shot.camera !== only.camera || shot.setup !== only.setup)) continue
    for (const { name, frame } of shot.render()) {
      const { width, height, data, bits } = frame
      const path = join(folder, name)
      mkdirSync(dirname(path), { recursive: true })
      writeFileSync(path, await encodeFrame(createFrame(width, height, data, bits), { format: 'png' }))
    }
  }
  writeFileSync(join(folder, 'show.yaml'), kitchen.show)
  return join(folder, 'show.yaml')
}

const anotherDay: HarbourChange = (_camera, _setup, options) => ({ ...options, seed: 5000 })

beforeAll(async () => {
  const then = await write(scratchFolder('drift-then'), (_camera, _setup, options) => options)
  luts = join(dirname(then), 'isochip-out')
  expect((await runCommand('match', then)).status).toBe(0)
  show = join(await copiedFolder('drift-now', (fresh) => write(fresh, anotherDay)), 'show.yaml')
})

/** Charts that are as they were are read once; what is verified rests on their bytes. */
const verify = () => ['verify', show, '--luts', luts, '--cache', join(dirname(show), 'cache')] as const

async function verified() {
  const { status, out } = await runCommand(...verify(), '--json')
  const { setups } = JSON.parse(out) as Verification
  return { status, all: setups.flatMap(({ setup, cameras }) => cameras.map((one) => ({ setup, ...one }))) }
}

/** Moves one camera in one setup, as `verified` then sees it, and puts it back. */
async function moved(camera: string, setup: HarbourSetup, stops: number, kelvin: number) {
  const from = lights[setup]
  const change: HarbourChange = (_camera, _setup, options) => ({
    ...options,
    seed: 5000,
    light: { kelvin: from.kelvin + kelvin, from },
    camera: {
      ...options.camera,
      exposure: (options.camera.exposure ?? 0) + stops,
      // The camera stays as it was set up; only the light has changed.
      balancedFor: options.camera.balancedFor ?? from.illuminant,
    },
  })
  const folder = dirname(show)
  const before = await keptFolder('drift-now', (fresh) => write(fresh, anotherDay))
  await write(folder, change, { camera, setup })
  const found = await verified()
  const text = await runCommand(...verify())
  cpSync(before, folder, { recursive: true })
  return { ...found, text: text.out }
}

describe('verify, with the charts of the demo shot again', () => {
  test('nothing was moved: all LUTs hold, and no drift is seen', async () => {
    const { status, all } = await verified()
    expect(status).toBe(0)
    expect(
      all.map(({ setup, camera, isTarget }) => `${setup} ${camera}${isTarget ? ' target' : ''}`),
    ).toEqual([
      'day wide target',
      'day cross',
      'day crane',
      'evening wide target',
      'evening cross',
      'evening crane',
    ])
    for (const { camera, setup, drift, now, made } of all) {
      // A hundredth, and a thirtieth, of what the cases below have to find: the noise of small frames.
      expect(Math.abs(drift!.exposure), camera).toBeLessThan(0.003)
      expect(
        Math.abs(
          kelvinAfter(lights[setup as HarbourSetup].kelvin, drift!.whiteBalance.mired) -
            lights[setup as HarbourSetup].kelvin,
        ),
      ).toBeLessThan(10)
      if (now !== undefined) expect(Math.abs(now.mean - made!.mean)).toBeLessThan(0.05)
    }
    const text = await runCommand(...verify())
    expect(text.out.match(/no change at the camera/g)).toHaveLength(6)
  })

  test.each([
    { camera: 'cross', setup: 'day', stops: 0.3, kelvin: 300 },
    { camera: 'crane', setup: 'evening', stops: 0, kelvin: -300 },
    ...(wholeTask
      ? ([
          { camera: 'crane', setup: 'evening', stops: 0.3, kelvin: -300 },
          { camera: 'cross', setup: 'evening', stops: 0, kelvin: -300 },
          { camera: 'cross', setup: 'evening', stops: -0.3, kelvin: 300 },
          { camera: 'crane', setup: 'day', stops: -0.3, kelvin: -300 },
          { camera: 'crane', setup: 'day', stops: 0.3, kelvin: 0 },
        ] as const)
      : []),
  ] as const)(
    '$camera, $setup, $stops stop and $kelvin K: it alone fails, and both are told',
    async ({ camera, setup, stops, kelvin }) => {
      const { status, all, text } = await moved(camera, setup, stops, kelvin)
      expect(status).toBe(3)
      const out = all.filter(({ within }) => !within)
      expect(out.map((one) => `${one.setup} ${one.camera}`)).toEqual([`${setup} ${camera}`])
      const { exposure, whiteBalance, dE00 } = out[0]!.drift!
      // What the task asks for: a lens ring and a preset are not set finer.
      expect(Math.abs(exposure - stops)).toBeLessThan(0.03)
      const before = lights[setup].kelvin
      expect(Math.abs(kelvinAfter(before, whiteBalance.mired) - (before + kelvin))).toBeLessThan(50)
      // Light that moves along the Planckian locus hardly leaves it.
      expect(Math.abs(whiteBalance.tint)).toBeLessThan(3)
      expect(dE00.withoutWhiteBalance).toBeLessThan(dE00.whole / 4)
      expect(text).toContain('1 of 4 LUTs no longer holds')
      expect(text).toContain(`${exposure < 0 ? '−' : '+'}${Math.abs(exposure).toFixed(2)} stop`)
      for (const { was, now } of whiteBalance.kelvin) expect(text).toContain(`${was} → ${now.toFixed(0)} K`)
      for (const line of text.split('\n')) expect(line.length, line).toBeLessThanOrEqual(80)
    },
  )

  test('the target itself was moved: the others no longer look like it, and the cause is named', async () => {
    const { status, all, text } = await moved('wide', 'day', 0.3, 0)
    expect(status).toBe(3)
    expect(all.filter(({ within }) => !within).map((one) => `${one.setup} ${one.camera}`)).toEqual([
      'day cross',
      'day crane',
    ])
    for (const { setup, camera, drift } of all) {
      const isMoved = setup === 'day' && camera === 'wide'
      expect(Math.abs(drift!.exposure - (isMoved ? 0.3 : 0)), camera).toBeLessThan(isMoved ? 0.03 : 0.003)
    }
    expect(text).toContain('The reference camera, wide, has itself changed')
  })
})
