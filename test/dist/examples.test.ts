import { spawn, spawnSync } from 'node:child_process'
import { once } from 'node:events'
import { cpSync, existsSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { setTimeout } from 'node:timers/promises'
import { fileURLToPath } from 'node:url'
import { describe, expect, test } from 'vitest'
import { smallCameras, smallFrame, writeSmallShow } from '../scenarios/support/smallShow.ts'
import { asBuilt } from '../support/asBuilt.ts'
import { consumer } from '../support/consumer.ts'
import { filesBelow } from '../support/filesBelow.ts'
import { scratchFolder } from '../support/scratchFolder.ts'

const examples = fileURLToPath(new URL('../../examples', import.meta.url))

const tsx = ['--import', 'tsx/esm']

function started(argv: readonly string[], cwd: string) {
  const ran = spawnSync(process.execPath, argv, { cwd, encoding: 'utf8' })
  return { status: ran.status, out: ran.stdout, err: ran.stderr }
}

/** Runs an example's script as its `package.json` does. */
const run = (folder: string, script: string, ...argv: string[]) =>
  started([...tsx, script, ...argv], join(examples, folder))

const numbers = (line: string) => line.match(/-?\d+\.\d+/g)!.map(Number)

describe('examples', () => {
  test('every example says how it is started by one command', () => {
    const folders = readdirSync(examples, { withFileTypes: true }).filter((entry) => entry.isDirectory())
    for (const { name } of folders) {
      const { scripts } = JSON.parse(readFileSync(join(examples, name, 'package.json'), 'utf8')) as {
        scripts: Record<string, string>
      }
      const script = scripts.start!.split(' ').at(-1)
      expect(existsSync(join(examples, name, script)), `${name}: ${scripts.start}`).toBe(true)
    }
  })

  test('ingest: a line of JSON a camera, and its LUT', () => {
    const out = scratchFolder('ingest')
    const { status, out: text, err } = run('ingest', 'ingest.ts', out)
    expect(err).toBe('')
    expect(status).toBe(0)
    const lines = text
      .trimEnd()
      .split('\n')
      .map((line) => JSON.parse(line) as { camera: string; lut: string; usable: boolean; mean: number })
    expect(lines.map(({ camera, lut, usable }) => ({ camera, lut, usable }))).toEqual([
      { camera: 'wide', lut: 'day/wide.cube', usable: true },
      { camera: 'cross', lut: 'day/cross.cube', usable: true },
      { camera: 'crane', lut: 'day/crane.cube', usable: true },
    ])
    for (const { lut } of lines) expect(readFileSync(join(out, lut), 'utf8')).toContain('LUT_3D_SIZE 33')
  })

  test('hot folder: what arrives is matched; of what changes, only that', async () => {
    const folder = scratchFolder('hot')
    const out = scratchFolder('hot-out')
    const child = spawn(process.execPath, [...tsx, 'hotFolder.ts', folder, out], {
      cwd: join(examples, 'hot-folder'),
      env: { ...process.env, PAUSE: '0.3' },
      stdio: ['ignore', 'pipe', 'inherit'],
    })
    let text = ''
    child.stdout.on('data', (piece: Buffer) => (text += piece))
    const said = async (line: string) => {
      while (!text.includes(line)) await setTimeout(20)
    }
    try {
      cpSync(await writeSmallShow(), join(folder, 'card'), { recursive: true })
      await said('card: 3 matches (0 of an earlier run), within tolerance')
      const frame = join(folder, 'card', 'crane-1.png')
      writeFileSync(frame, await smallFrame(smallCameras[2]!, { width: 600, height: 400 }))
      // The crane is read and matched anew; the target, and the camera with readings, are as they were.
      await said('card: 3 matches (2 of an earlier run), within tolerance')
      mkdirSync(join(folder, 'wrong'))
      writeFileSync(join(folder, 'wrong', 'show.yaml'), 'isochip: 1')
      await said('wrong: ')
      expect(filesBelow(out).filter((name) => name.endsWith('.cube'))).toEqual([
        'card/default/crane.cube',
        'card/default/cross.cube',
        'card/default/wide.cube',
      ])
    } finally {
      child.kill('SIGTERM')
    }
    const [status] = (await once(child, 'exit')) as [number]
    expect(status).toBe(0)
  })

  test('colourist: a show file and readings, no script', () => {
    const out = scratchFolder('colourist')
    const ran = started(
      [...asBuilt, 'match', 'show.yaml', '--out', out, '--no-cache'],
      join(examples, 'colourist'),
    )
    expect(ran.err).toBe('')
    expect(ran.status).toBe(0)
    const luts = filesBelow(out).filter((name) => name.endsWith('.cube'))
    expect(luts).toEqual([
      'bridge/pocket.cube',
      'deck/jib.cube',
      'deck/pocket.cube',
      'deck/rail.cube',
      'saloon/jib.cube',
      'saloon/pocket.cube',
      'saloon/rail.cube',
    ])
    expect(ran.out).toContain('no chart was shot in setup "bridge"')
  })

  test('researcher: a matrix with intervals that hold it, and every patch', () => {
    const { status, out, err } = run('researcher', 'researcher.ts')
    expect(err).toBe('')
    expect(status).toBe(0)
    const lines = out.split('\n')
    expect(lines[0]).toMatch(/^24 patches, rank 3 of 3, condition \d/)
    const first = lines.findIndex((line) => line.startsWith('matrix B → A'))
    for (const line of lines.slice(first + 1, first + 4)) {
      const [a, aLow, aHigh, b, bLow, bHigh, c, cLow, cHigh] = numbers(line)
      // Three numbers of four decimals each.
      expect(Math.abs(a! + b! + c! - 1)).toBeLessThan(2e-4)
      for (const [value, low, high] of [
        [a, aLow, aHigh],
        [b, bLow, bHigh],
        [c, cLow, cHigh],
      ] as const) {
        expect(low!).toBeLessThan(value!)
        expect(value!).toBeLessThan(high!)
      }
    }
    expect(lines.filter((line) => /^[\w. ]+,\d+\.\d{3},\d+\.\d{3}$/.test(line))).toHaveLength(24)
  })
})

consumer('redis').describe('example of a queue', () => {
  test('queue: a Redis, two workers, every part of the show', () => {
    const out = scratchFolder('queue')
    const { status, out: text, err } = run('queue', 'run.ts', '../colourist/show.yaml', out)
    expect(err).toBe('')
    expect(status).toBe(0)
    expect(text).toContain('deck: within tolerance')
    expect(text).toContain('saloon bridge: within tolerance')
    expect(filesBelow(out).filter((name) => name.endsWith('.cube'))).toHaveLength(7)
  })

  test('sensors: the measured ones against the observer and each other', () => {
    const { status, out, err } = run('researcher', 'sensors.ts')
    expect(err).toBe('')
    expect(status).toBe(0)
    const [against, among, rests] = out.split('\n\n').map((part) => part.trimEnd().split('\n'))
    // Four to the observer, and six pairs each way.
    expect(against!.slice(1).map((line) => line.split(',')[0])).toEqual([
      'sensor1',
      'sensor3',
      'sensor5',
      'sensor8',
    ])
    expect(among).toHaveLength(1 + 12)
    for (const line of [...against!.slice(1), ...among!.slice(1)])
      expect(
        line
          .split(',')
          .slice(2)
          .every((value) => Number.isFinite(Number(value))),
        line,
      ).toBe(true)
    expect(rests![0]).toBe('The index rests on:')
    expect(rests!.length).toBeGreaterThan(3)
  })

  test('the same sensors as tables, by the command', () => {
    const ran = started(
      [...asBuilt, 'compare', 'sensors/show.yaml', '--no-cache'],
      join(examples, 'researcher'),
    )
    expect(ran.err).toBe('')
    expect(ran.status).toBe(0)
    expect(ran.out).toContain('sensor8 and the observer: principal angles')
    for (const line of ran.out.split('\n')) expect(line.length, line).toBeLessThanOrEqual(80)
  })
})
