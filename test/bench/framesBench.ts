/**
 * A chart in a cluttered 3840 × 2160 frame of 16 bits, none, and walls of tiles: time to decode it, processor time to find
 * and sample it, also over that of a fixed piece of work in the same process, and the memory that takes.
 * `node --import tsx/esm -C @isochip/source test/bench/framesBench.ts`
 */
import { spawnSync } from 'node:child_process'
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { builtinChart, builtinCharts, seededRandom } from '@isochip/core'
import { type FindResult, type Frame, findChart, sampleChart } from '@isochip/frames'
import { decodeFrame, encodeFrame } from '@isochip/frames/node'
import {
  type ChartFrameOptions,
  chartFreeScene,
  type Picture,
  renderChartFrame,
  sensorNames,
} from '@isochip/synthetic'
import { tileWall } from '../support/tileWall.ts'

const runs = 3
const limits = { megabytes: 1024 }

/**
 * Processor time of a fixed piece of work, milliseconds: a million numbers sorted. Time itself grows on a busy machine.
 */
function yardstick(): number {
  const random = seededRandom(1)
  const numbers = Float64Array.from({ length: 1_000_000 }, random)
  const before = processorTime()
  numbers.sort()
  return processorTime() - before
}

const middle = (values: readonly number[]) => [...values].sort((a, b) => a - b)[values.length >> 1]!

/** Milliseconds of all threads: what the work costs, however busy the machine is. */
const processorTime = () => {
  const { user, system } = process.cpuUsage()
  return (user + system) / 1000
}

/** In a process of its own: the largest size of the one that renders says nothing. */
async function measure(name: string, file: string, most: number): Promise<void> {
  const times: { decode: number; find: number; sample: number; yard: number }[] = []
  let outcome = ''
  for (let run = 0; run < runs; run++) {
    const yard = yardstick()
    const start = performance.now()
    const frame = await decodeFrame(file)
    const decode = performance.now() - start
    const decoded = processorTime()
    let found: FindResult | undefined
    try {
      found = findChart(frame, builtinCharts)
    } catch {
      // Without a chart the search is at its longest.
    }
    const searched = processorTime()
    if (found !== undefined) {
      const { chart, corners, map } = found
      sampleChart({ frames: [frame], chart, corners, map, range: 'full' })
    }
    times.push({ decode, find: searched - decoded, sample: processorTime() - searched, yard })
    outcome = found?.chart.id ?? 'none'
  }
  const part = (of: (time: (typeof times)[number]) => number) => middle(times.map(of)).toFixed(0).padStart(7)
  const megabytes = process.resourceUsage().maxRSS / 1024
  const ratio = middle(times.map(({ find, yard }) => find / yard))
  const held = ratio < most && megabytes < limits.megabytes
  console.log(
    `${name.padEnd(32)} ${outcome.padEnd(8)} decode ${part(({ decode }) => decode)} ms, find ${part(({ find }) => find)} ms (${ratio.toFixed(1)} of ${most} yardsticks), ` +
      `sample ${part(({ sample }) => sample)} ms; peak ${megabytes.toFixed(0)} MB  ${held ? '' : '(over the aim)'}`,
  )
}

/** Light behind the chart: a scene's codes, taken as its square root. */
function behind(number: number): Picture {
  const { width, height, data, codeScale } = chartFreeScene(number).frame
  return { width, height, data: Float32Array.from(data, (code) => (code / codeScale) ** 2) }
}

const outside: ChartFrameOptions['place'] = {
  corners: [
    [-900, -900],
    [-300, -900],
    [-300, -500],
    [-900, -500],
  ],
}
/** The last: processor time of finding at most, in yardsticks. */
const cases = [
  ['24 patches, half as wide', 'chart24', { size: 0.5, centre: [0.5, 0.5], rotation: 8, tilt: 12 }, 5],
  ['48 patches, three fifths as wide', 'quay48', { size: 0.6, centre: [0.5, 0.5], rotation: -3, pan: 10 }, 6],
  ['24 patches, an eighth as wide', 'chart24', { size: 0.125, centre: [0.7, 0.4], rotation: 100 }, 6],
  ['24 patches in a mirror', 'chart24', outside, 7],
  ['no chart, colour bars', 'chart24', outside, 8],
  ['no chart, keys, much noise', 'chart24', outside, 8],
  ['no chart, palettes', 'chart24', outside, 8],
] as const

/** Tiles of all colours, in rows and columns wherever one looks: of a 4096² picture, sides in pixels, and yardsticks at most. */
const walls = [
  [16, 11],
  [64, 12],
] as const

async function bench(): Promise<void> {
  console.log(`aim: find within so many yardsticks, peak under ${limits.megabytes} MB; medians of ${runs}`)
  const folder = mkdtempSync(join(tmpdir(), 'isochip-bench-'))
  const file = join(folder, 'frame.png')
  const measured = async (name: string, frame: Frame, most: number) => {
    writeFileSync(file, await encodeFrame(frame, { format: 'png' }))
    const here = fileURLToPath(import.meta.url)
    const given = [...process.execArgv, here, name, file, String(most)]
    const child = spawnSync(process.execPath, given, { stdio: 'inherit' })
    if (child.status !== 0) process.exitCode = 1
  }
  try {
    for (const [k, [name, chart, place, most]] of cases.entries()) {
      const { frame } = renderChartFrame({
        chart: builtinChart(chart),
        width: 3840,
        height: 2160,
        place,
        camera: { sensor: sensorNames[k]!, encoding: 'bt709', bits: 16, noise: { shot: 4e-4, read: 2e-3 } },
        light: 'D65',
        distortion: -0.02,
        blur: 3,
        background: () => behind(k + 1),
      })
      await measured(name, frame, most)
    }
    for (const [pitch, most] of walls)
      await measured(`tiles of ${pitch} pixels, 4096 × 4096`, tileWall(4096, pitch), most)
  } finally {
    rmSync(folder, { recursive: true, force: true })
  }
}

const [name, file, most] = process.argv.slice(2)
if (name !== undefined && file !== undefined && most !== undefined) await measure(name, file, Number(most))
else await bench()
