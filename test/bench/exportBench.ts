/**
 * LUT work against other programs, in one run: `node --import tsx/esm -C @isochip/source test/bench/exportBench.ts`.
 * Times are CPU time, best of several runs, so that a busy machine spoils them less; a ratio above 1 means that we
 * are faster. Needs ffmpeg, ociobakelut and PyOpenColorIO; what is missing is said and left out.
 */

import { spawnSync } from 'node:child_process'
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { type MatchModel, resolveEncoding, resolvePrimaries } from '@isochip/core'
import {
  bakeMatch,
  clfFromMatch,
  cubeChunks,
  prepareLut,
  readCube,
  writeClf,
  writeCube,
} from '@isochip/export'
import { numbersFrom } from '../consumers/lutNumbers.ts'
import { type ConsumerName, consumerTool } from '../support/consumerTool.ts'

const model: MatchModel = {
  kind: 'lift-gain-matrix',
  lift: [-0.002, 0.001, 0.003],
  gain: [1.3, 0.95, 0.8],
  matrix: [
    [1.2, -0.15, -0.05],
    [-0.08, 1.11, -0.03],
    [0.02, -0.22, 1.2],
  ],
}
const match = {
  source: resolveEncoding('acescct'),
  model,
  working: resolvePrimaries('bt709'),
  output: resolveEncoding('bt709'),
}

function cpu(work: () => void): number {
  const before = process.cpuUsage()
  work()
  const { user, system } = process.cpuUsage(before)
  return (user + system) / 1e6
}
const best = (runs: number, measure: () => number) => Math.min(...Array.from({ length: runs }, measure))

function tool(name: ConsumerName) {
  const found = consumerTool(name)
  if (found.command === undefined) console.log(`left out: ${found.missing}`)
  return found.command === undefined ? undefined : found
}

function line(work: string, ours: number, other: string, theirs: number): void {
  const ms = (seconds: number) => `${(seconds * 1000).toFixed(1)} ms`
  console.log(
    `${work.padEnd(44)} ours ${ms(ours).padStart(9)}   ${other} ${ms(theirs).padStart(9)}   ratio ${(theirs / ours).toFixed(2)}`,
  )
}

/** User and system time of a child process, from the shell's own clock. */
function childCpu(command: string, args: readonly string[]): number {
  const done = spawnSync('bash', [
    '-c',
    'TIMEFORMAT="%U %S"; time "$@" >/dev/null 2>&1',
    'time',
    command,
    ...args,
  ])
  const [user, system] = done.stderr.toString().trim().split(' ').map(Number)
  if (done.status !== 0 || user === undefined || system === undefined) throw new Error(`${command} failed`)
  return user + system
}

const folder = mkdtempSync(join(tmpdir(), 'isochip-bench-'))
const path = (name: string) => join(folder, name)
const script = new URL('./exportBench.py', import.meta.url).pathname
try {
  const clf = path('match.clf')
  writeFileSync(clf, writeClf(clfFromMatch(match, { id: 'bench' }).list))

  const bakeAndWrite = () => {
    writeFileSync(path('ours.cube'), Buffer.concat([...cubeChunks(bakeMatch(match, { size: 65 }))]))
  }
  const bakeTime = best(7, () => cpu(bakeAndWrite))
  const baker = tool('ociobakelut')
  const python = tool('pyopencolorio')
  if (baker !== undefined && python !== undefined) {
    const format = python.run([script, 'format']).toString().trim()
    const args = ['--lut', clf, '--format', format, '--cubesize', '65', path('theirs.cube')]
    line(
      'bake 65³ and write .cube',
      bakeTime,
      'ociobakelut (process)',
      best(5, () => childCpu('ociobakelut', args)),
    )
  }
  if (python !== undefined) {
    const theirs = Number(python.run([script, 'bake', clf, path('theirs.cube'), '65']).toString())
    line('bake 65³ and write .cube', bakeTime, 'OpenColorIO Baker (in process)', theirs)
    const readTime = best(7, () =>
      cpu(() => {
        readCube(readFileSync(path('ours.cube')))
      }),
    )
    line(
      'read 65³ .cube',
      readTime,
      'OpenColorIO reader',
      Number(python.run([script, 'read', path('ours.cube')]).toString()),
    )
  }

  const lut = bakeMatch(match, { size: 33 })
  writeFileSync(path('33.cube'), writeCube(lut))
  const [width, height] = [3840, 2160]
  const random = numbersFrom(1)
  const noise = Uint16Array.from({ length: 3 * width * height }, () => random() * 65536)
  const picture = Uint16Array.from({ length: 3 * width * height }, (_, i) => {
    const [x, y] = [Math.floor(i / 3) % width, Math.floor(i / 3 / width)]
    const wave = 0.5 + 0.4 * Math.sin(x / 301 + (i % 3)) * Math.cos(y / 207)
    return Math.max(0, Math.min(65535, wave * 65535 + (random() - 0.5) * 600))
  })
  const ffmpeg = tool('ffmpeg')
  for (const [name, frame] of [
    ['noise', noise],
    ['picture', picture],
  ] as const) {
    const into = new Uint16Array(frame.length)
    const times = (['auto', 'javascript'] as const).map((engine) => {
      const prepared = prepareLut(lut, { engine })
      const once = () => cpu(() => prepared.apply({ data: frame, width, height }, { into }))
      // The engine compiles for speed only after a while, and on a busy machine later still.
      for (let run = 0; run < 5; run++) once()
      return best(15, once)
    })
    console.log(`apply 33³ to 3840×2160, JavaScript alone, ${name}: ${(times[1]! * 1000).toFixed(0)} ms`)
    if (ffmpeg === undefined) continue
    const file = path(`${name}.rgb`)
    writeFileSync(file, frame)
    const frames = 10
    const run = (filter: string) =>
      childCpu('ffmpeg', [
        ...['-nostdin', '-loglevel', 'error', '-threads', '1', '-filter_threads', '1', '-f', 'rawvideo'],
        ...[
          '-pix_fmt',
          'rgb48le',
          '-s',
          `${width}x${height}`,
          '-stream_loop',
          String(frames - 1),
          '-i',
          file,
        ],
        ...['-vf', filter, '-f', 'null', '-'],
      ])
    for (const format of ['rgb48le', 'gbrp16le']) {
      const plain = best(3, () => run(`format=${format},null`))
      const filtered = best(3, () => run(`format=${format},lut3d=file=${path('33.cube')}:interp=tetrahedral`))
      const work = `apply 33³ to 3840×2160 16 bit, ${name}`
      line(work, times[0]!, `ffmpeg lut3d, ${format}, filter alone`, (filtered - plain) / frames)
    }
  }
} finally {
  rmSync(folder, { recursive: true })
}
