import { mkdtemp, readFile, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { builtinChart, type Turn } from '@isochip/core'
import { readingsToCsv } from '@isochip/frames'
import { type StudioCameraSpec, studioCamera } from '@isochip/synthetic'
import { describe, expect, test } from 'vitest'
import { runCommand } from './support/runCommand.ts'

const chart = builtinChart('chart24')

/** A show of three studio cameras whose readings stand in files, and what the command says of it. */
async function studio() {
  const folder = await mkdtemp(join(tmpdir(), 'isochip-lineup-'))
  const show = join(folder, 'show.yaml')
  const specs: Record<string, StudioCameraSpec> = {
    wide: { sensor: 'sensor1', light: 'D65', exposure: -0.1, flare: 0.004, noise: 0.0007, seed: 1 },
    cross: {
      sensor: 'sensor5',
      light: 'D65',
      exposure: -0.5,
      red: 0.93,
      blue: 1.08,
      pedestal: [0.02, 0.018, 0.022],
      flare: 0.006,
      noise: 0.0007,
      seed: 2,
    },
    crane: {
      sensor: 'sensor8',
      light: 'D65',
      matrixFor: 'A',
      exposure: 0.25,
      blue: 0.9,
      pedestal: [-0.01, -0.012, -0.008],
      noise: 0.0007,
      acts: { exposure: 0.9, gains: 1.1, matrix: 1.1, pedestal: 0.9 },
      seed: 3,
    },
  }
  const cameras = new Map(Object.entries(specs).map(([id, spec]) => [id, studioCamera(spec, chart)]))
  await writeFile(
    show,
    `isochip: 1
title: Studio
chart: chart24
target: { camera: wide }
cameras:
${[...cameras.keys()].map((id) => `  - { id: ${id}, encoding: bt709, shots: [{ setup: desk, readings: ${id}.csv }] }`).join('\n')}
`,
  )
  const shoot = (id: string) => writeFile(join(folder, `${id}.csv`), readingsToCsv(cameras.get(id)!.shoot()))
  for (const id of cameras.keys()) await shoot(id)
  const run = (...words: string[]) => runCommand('lineup', show, '--once', ...words)
  return { folder, show, cameras, shoot, run }
}

interface Round {
  readonly camera: string
  readonly round: number
  readonly trend: readonly number[]
  readonly kept: { readonly asked: Turn; readonly withLut: number }
}

const roundsOf = (out: string) =>
  out
    .split('\n')
    .filter((line) => line !== '')
    .map((line) => JSON.parse(line) as Round)

describe('isochip lineup', () => {
  test('three rounds of shooting and turning bring two cameras to the third', async () => {
    const { cameras, shoot, run } = await studio()
    for (let round = 1; round <= 3; round++) {
      const { out } = await run('--json')
      const rounds = roundsOf(out)
      expect(rounds.map(({ camera }) => camera).sort()).toEqual(['crane', 'cross'])
      for (const { camera, kept, round: number } of rounds) {
        expect(number).toBe(round)
        cameras.get(camera)!.turn(kept.asked)
        await shoot(camera)
      }
    }
    const last = roundsOf((await run('--json')).out)
    for (const { trend, kept } of last) {
      expect(trend).toHaveLength(4)
      expect(trend[0]).toBeGreaterThan(2)
      expect(trend.at(-1)).toBeLessThan(Math.max(1, kept.withLut + 0.2))
    }
  })

  test('the same frames are no new round, and what is kept is known again', async () => {
    const { folder, run, shoot } = await studio()
    expect((await run()).out).toContain('cross, round 1')
    // The same frames are no new round: what stands is told to a person, and nothing to a program.
    const again = (await run()).out
    expect(again).toContain('cross, round 1, no new shot')
    expect(again).not.toContain('round 2')
    expect((await run('--json')).out).toBe('')
    await shoot('cross')
    const { out } = await run()
    expect(out).toContain('cross, round 2')
    expect(out).toContain('crane, round 1, no new shot')
    const kept = JSON.parse(await readFile(join(folder, 'lineup.json'), 'utf8'))
    expect(kept.cameras.find(({ camera }: { camera: string }) => camera === 'cross').rounds).toHaveLength(2)
  })

  test('after a day of shots the file holds the newest of them, and the figures of all', async () => {
    const { folder, run, shoot } = await studio()
    await run()
    const file = join(folder, 'lineup.json')
    const kept = JSON.parse(await readFile(file, 'utf8'))
    const cross = kept.cameras.find(({ camera }: { camera: string }) => camera === 'cross')
    // As if it had been shot so often without being turned.
    cross.rounds = Array.from({ length: 8 }, (_, i) => ({ ...cross.rounds[0], now: i + 1, done: 0 }))
    cross.past = [30, 20]
    await writeFile(file, JSON.stringify(kept, null, 1))
    await shoot('cross')
    const second = await run('--json')
    expect(second.err).not.toContain('error')
    const [told] = roundsOf(second.out)
    expect(told!.round).toBe(11)
    expect(told!.trend.slice(0, 10)).toEqual([30, 20, ...Array.from({ length: 8 }, (_, i) => i + 1)])
    const after = JSON.parse(await readFile(file, 'utf8'))
    const [past, rounds] = [after.cameras.at(-1).past, after.cameras.at(-1).rounds]
    expect(past).toEqual([30, 20, 1])
    expect(rounds).toHaveLength(8)
  })

  test('every instruction stands in the units of its control, with the sense of the terms beside them', async () => {
    const { out, err, status: exit } = await (await studio()).run()
    expect(exit).toBe(3)
    expect(err).toContain('lined up to wide')
    const cross = out.slice(
      out.indexOf('cross, round 1'),
      out.indexOf('──', out.indexOf('cross, round 1') + 20),
    )
    expect(cross).toMatch(/1 pedestal +R −\d\.\d {2}G −\d\.\d {2}B −\d\.\d {2}% of the signal/)
    expect(cross).toMatch(/mV/)
    expect(cross).toMatch(/10-bit codes/)
    expect(cross).toMatch(/2 exposure +open 0\.\d\d stop \(\+\d\.\d dB\)/)
    for (const line of out.split('\n')) expect(line.length).toBeLessThanOrEqual(80)
  })

  test('controls that the show says to move in clicks are asked for in clicks', async () => {
    const { show, run } = await studio()
    const text = await readFile(show, 'utf8')
    const controls =
      'exposure: { stops: 0.25 }, gains: { dB: 0.1 }, matrix: none, pedestal: { percent: 0.5, channels: master-red-blue }'
    await writeFile(
      show,
      text.replace('id: cross, encoding', `id: cross, controls: { ${controls} }, encoding`),
    )
    const { out } = await run()
    const from = out.indexOf('cross, round 1')
    const cross = out.slice(from, out.indexOf('──', from + 20))
    expect(cross).toMatch(
      /pedestal +master −\d {2}R [+−]\d {2}B [+−]\d {2}clicks\n +master −\d\.\d {2}R [+−]\d\.\d/,
    )
    // A quarter of a stop a click; 20·log₁₀ 2 dB are a stop.
    const [, clicks, stops] = /exposure +open (\d+) clicks?\n +open (\d\.\d\d) stop/.exec(cross)!
    expect(Number(stops)).toBeCloseTo(Number(clicks) / 4, 6)
    expect(cross).toMatch(/white balance gains R [+−]\d+ {2}B [+−]\d+ {2}clicks/)
    expect(cross).not.toContain('matrix')
    for (const line of out.split('\n')) expect(line.length).toBeLessThanOrEqual(80)
    await writeFile(
      show,
      text.replace(
        'id: cross, encoding',
        'id: cross, controls: { gains: { dB: 0.1, percent: 1 } }, encoding',
      ),
    )
    const { err, status: exit } = await run()
    expect(exit).toBe(2)
    expect(err).toContain('a click of gains of camera "cross" is given in percent and in dB')
  })

  test('a frame that cannot be read is told, and the last good round stays', async () => {
    const { folder, run } = await studio()
    await run()
    const before = await readFile(join(folder, 'lineup.json'), 'utf8')
    await writeFile(join(folder, 'cross.csv'), 'patch,r,g\nhalf')
    const { err, status: exit } = await run()
    expect(exit).toBe(2)
    expect(err).toContain('cross')
    expect(await readFile(join(folder, 'lineup.json'), 'utf8')).toBe(before)
  })

  test('the report of a match has the rounds, and says so where they cannot be read', async () => {
    const { folder, show, run, shoot } = await studio()
    expect((await runCommand('match', show)).err).not.toContain('lineup')
    const report = async () => JSON.parse(await readFile(join(folder, 'isochip-out', 'report.json'), 'utf8'))
    const page = () => readFile(join(folder, 'isochip-out', 'report.html'), 'utf8')
    expect(await report()).not.toHaveProperty('lineUp')
    expect(await page()).not.toContain('Line-up')
    const first = roundsOf((await run('--json')).out)
    await shoot('cross')
    const [second] = roundsOf((await run('--json')).out)
    await runCommand('match', show)
    const { setup, cameras } = (await report()).lineUp
    expect(setup).toBe('desk')
    expect(cameras.map(({ camera }: Round) => camera)).toEqual(['cross', 'crane'])
    for (const [i, value] of second!.trend.entries()) expect(cameras[0].trend[i]).toBeCloseTo(value, 5)
    expect(cameras[1].trend).toHaveLength(1)
    const html = await page()
    expect(html).toContain('<h3>Line-up</h3>')
    for (const { trend } of first) expect(html).toContain(trend[0]!.toFixed(2))
    await writeFile(join(folder, 'lineup.json'), '{')
    const { err, status: exit } = await runCommand('match', show)
    expect(err).toContain('the report says nothing of the line-up')
    expect(exit).toBeLessThan(3)
    expect(await page()).not.toContain('Line-up')
  })

  test('a damaged lineup.json is named and not written over', async () => {
    const { folder, run } = await studio()
    await writeFile(join(folder, 'lineup.json'), '{"isochip":"lineup/1","setup":3}')
    const { err, status: exit } = await run()
    expect(exit).toBe(2)
    expect(err).toContain('lineup.json')
    expect(await readFile(join(folder, 'lineup.json'), 'utf8')).toContain('"setup":3')
  })
})
