/**
 * A chart in a cluttered 3840 × 2160 frame of 16 bits: time to decode it, processor time to find
 * and sample it, and the memory that takes.
 * `node --import tsx/esm -C @isochip/source test/bench/framesBench.ts`
 */
import { spawnSync } from 'node:child_process'
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { builtinChart, builtinCharts } from '@isochip/core'
import { type FindResult, findChart, sampleChart } from '@isochip/frames'
import { decodeFrame, encodeFrame } from '@isochip/frames/node'
import {
  type ChartFrameOptions,
  chartFreeScene,
  type Picture,
  renderChartFrame,
  sensorNames,
} from '@isochip/synthetic'

const runs = 5
const limits = { beyondDecoding: 1500, megabytes: 1024 }

const middle = (values: readonly number[]) => [...values].sort((a, b) => a - b)[values.length >> 1]!

/** Milliseconds of all threads: what the work costs, however busy the machine is. */
const processorTime = () => {
  const { user, system } = process.cpuUsage()
  return (user + system) / 1000
}

/** In a process of its own: the largest size of the one that renders says nothing. */
async function measure(name: string, file: string): Promise<void> {
  const times: { decode: number; find: number; sample: number }[] = []
  let outcome = ''
  for (let run = 0; run < runs; run++) {
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
    times.push({ decode, find: searched - decoded, sample: processorTime() - searched })
    outcome = found?.chart.id ?? 'none'
  }
  const part = (of: (time: (typeof times)[number]) => number) => middle(times.map(of)).toFixed(0).padStart(7)
  const beyond = middle(times.map(({ find, sample }) => find + sample))
  const megabytes = process.resourceUsage().maxRSS / 1024
  const held = beyond < limits.beyondDecoding && megabytes < limits.megabytes
  console.log(
    `${name.padEnd(32)} ${outcome.padEnd(8)} decode ${part(({ decode }) => decode)} ms, find ${part(({ find }) => find)} ms, ` +
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
const cases = [
  ['24 patches, half as wide', 'chart24', { size: 0.5, centre: [0.5, 0.5], rotation: 8, tilt: 12 }],
  ['48 patches, three fifths as wide', 'quay48', { size: 0.6, centre: [0.5, 0.5], rotation: -3, pan: 10 }],
  ['24 patches, an eighth as wide', 'chart24', { size: 0.125, centre: [0.7, 0.4], rotation: 100 }],
  ['no chart', 'chart24', outside],
] as const

async function bench(): Promise<void> {
  console.log(
    `aim: find and sample under ${limits.beyondDecoding} ms, peak under ${limits.megabytes} MB; medians of ${runs}`,
  )
  const folder = mkdtempSync(join(tmpdir(), 'isochip-bench-'))
  const file = join(folder, 'frame.png')
  try {
    for (const [k, [name, chart, place]] of cases.entries()) {
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
      writeFileSync(file, await encodeFrame(frame, { format: 'png' }))
      const here = fileURLToPath(import.meta.url)
      const child = spawnSync(process.execPath, [...process.execArgv, here, name, file], { stdio: 'inherit' })
      if (child.status !== 0) process.exitCode = 1
    }
  } finally {
    rmSync(folder, { recursive: true, force: true })
  }
}

const [name, file] = process.argv.slice(2)
if (name !== undefined && file !== undefined) await measure(name, file)
else await bench()
