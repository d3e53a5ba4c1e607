import { writeFile } from 'node:fs/promises'
import { join } from 'node:path'
import { builtinChart, type Turn } from '@isochip/core'
import { readingsToCsv } from '@isochip/frames'
import type { Verification } from '@isochip/show/node'
import { type StudioCameraSpec, studioCamera } from '@isochip/synthetic'
import { describe, expect, test } from 'vitest'
import { scratchFolder } from '../support/scratchFolder.ts'
import { runCommand } from './support/runCommand.ts'

/*
 * A camera of the simulated studio is matched, and its controls are turned afterwards. What verify says to set is done as it is
 * said; that the camera then stands as it stood is what the simulation says of itself.
 */

const chart = builtinChart('chart24')
const untouched: Turn = {
  exposure: 0,
  red: 1,
  blue: 1,
  matrix: { rg: 0, rb: 0, gr: 0, gb: 0, br: 0, bg: 0 },
  pedestal: [0, 0, 0],
}

async function matched(spec: Partial<StudioCameraSpec>) {
  const folder = scratchFolder('verify-setting')
  const show = join(folder, 'show.yaml')
  const wide = studioCamera(
    { sensor: 'sensor1', light: 'D65', exposure: -0.1, flare: 0.004, noise: 0.0007, seed: 1 },
    chart,
  )
  const cross = studioCamera(
    {
      sensor: 'sensor5',
      light: 'D65',
      exposure: -0.3,
      red: 0.95,
      flare: 0.006,
      noise: 0.0007,
      seed: 2,
      ...spec,
    },
    chart,
  )
  const shoot = async () => {
    await writeFile(join(folder, 'wide.csv'), readingsToCsv(wide.shoot()))
    await writeFile(join(folder, 'cross.csv'), readingsToCsv(cross.shoot()))
  }
  await shoot()
  await writeFile(
    show,
    `isochip: 1
title: Desk
chart: chart24
target: { camera: wide }
cameras:
  - { id: wide, encoding: bt709, readings: wide.csv }
  - { id: cross, encoding: bt709, readings: cross.csv }
`,
  )
  expect((await runCommand('match', show)).status).toBe(0)
  const verify = (...words: string[]) =>
    runCommand('verify', show, '--luts', join(folder, 'isochip-out'), ...words)
  return {
    cross,
    text: async () => (await verify()).out,
    /** The chart is shot again and looked at. */
    verified: async () => {
      await shoot()
      const { status, out } = await verify('--json')
      const { setups } = JSON.parse(out) as Verification
      return { status, camera: setups[0]!.cameras.find(({ camera }) => camera === 'cross')! }
    },
  }
}

const cases: Record<string, { spec?: Partial<StudioCameraSpec>; turn: Partial<Turn>; groups: string[] }> = {
  'an iris was opened': { turn: { exposure: 0.5 }, groups: ['exposure'] },
  'a pedestal was lifted': { turn: { pedestal: [0.02, 0.02, 0.02] }, groups: ['pedestal'] },
  'gains before the matrix': { turn: { red: 1.08, blue: 0.95 }, groups: ['gains'] },
  'gains after the matrix': {
    spec: { gains: 'after-matrix' },
    turn: { red: 1.08, blue: 0.95 },
    groups: ['gains'],
  },
  'all at once': {
    turn: { exposure: -0.4, red: 0.93, blue: 1.06, pedestal: [-0.01, -0.012, -0.008] },
    groups: ['pedestal', 'exposure', 'gains'],
  },
}

describe('verify says what to set to get back', () => {
  test.each(Object.entries(cases))('%s', async (_, { spec = {}, turn, groups }) => {
    const { cross, text, verified } = await matched(spec)
    const same = await verified()
    expect(same.status).toBe(0)
    expect(same.camera.drift!.setting!.stages).toEqual([])
    cross.turn({ ...untouched, ...turn })
    const moved = await verified()
    expect(moved.status).toBe(3)
    const { setting } = moved.camera.drift!
    expect(setting!.stages.map(({ group }) => group)).toEqual(groups)
    const words = await text()
    expect(words).toContain('to get back      set at the camera')
    for (const line of words.split('\n')) expect(line.length, line).toBeLessThanOrEqual(80)
    // What was turned, backwards: within what a hand sets.
    const { exposure, red, blue, pedestal } = { ...untouched, ...turn }
    const back = setting!.turn
    expect(Math.abs(back.exposure + exposure)).toBeLessThan(0.02)
    expect(Math.abs(back.red * red - 1)).toBeLessThan(0.01)
    expect(Math.abs(back.blue * blue - 1)).toBeLessThan(0.01)
    for (const [c, value] of back.pedestal.entries())
      expect(Math.abs(value + pedestal[c]!)).toBeLessThan(0.003)
    cross.turn(back)
    const again = await verified()
    expect(again.status).toBe(0)
    // What a second look may still find is not seen.
    expect(again.camera.drift!.setting!.now).toBeLessThan(0.4)
  })
})
