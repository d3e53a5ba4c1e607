/**
 * The perceptual fit against scipy's, on the same three smooth residuals a patch and on their norm, in turns in one run;
 * `matchCamera` with all that it says, warm, and its first call after import:
 * `node --import tsx/esm -C @isochip/source test/bench/solverBench.ts`. Ours is the tenth of many fits by time after a
 * warm-up, scipy's the best of three by processor time. Above 1 means that we are faster.
 */
import { spawnSync } from 'node:child_process'
import {
  bootstrapIntervals,
  builtinChart,
  fitPatches,
  matchCamera,
  resolveEncoding,
  resolvePrimaries,
  seededRandom,
  targetFromCamera,
  type Vec3,
} from '@isochip/core'
import { patchLight, sensorNames } from '@isochip/synthetic'
import { consumerTool } from '../support/consumerTool.ts'

interface Task {
  readonly name: string
  readonly source: Vec3[]
  readonly target: Vec3[]
}

function tasks(chartId: string): Task[] {
  const chart = builtinChart(chartId)
  const light = (device: (typeof sensorNames)[number]) =>
    patchLight({ chart, device, light: 'D65' }).map((patch) => patch.light)
  return sensorNames.map((name, i) => {
    const to = sensorNames[(i + 3) % sensorNames.length]!
    return { name: `${name} to ${to}`, source: light(name), target: light(to) }
  })
}

/** What a machine needs that does nothing else: a tenth of the times are shorter. */
const undisturbed = (values: number[]) => values.sort((a, b) => a - b)[Math.floor(values.length / 10)]!
const mean = (values: number[]) => values.reduce((sum, value) => sum + value, 0) / values.length

function ours({ source, target }: Task): { seconds: number; cost: number } {
  const times: number[] = []
  let cost = 0
  for (let round = 0; round < 400; round++) {
    const start = process.hrtime.bigint()
    cost = fitPatches(source, target).cost
    if (round >= 100) times.push(Number(process.hrtime.bigint() - start) / 1e9)
  }
  return { seconds: undisturbed(times), cost }
}

const scipy = consumerTool('scipy')
if (scipy.command === undefined) console.log(`left out, no ratio to scipy: ${scipy.missing}`)
for (const chart of ['chart24', 'quay48']) {
  const list = tasks(chart)
  const mine = list.map(ours)
  const us = mean(mine.map((fit) => fit.seconds))
  console.log(
    `${chart}: lift-gain-matrix, perceptual: ${(us * 1e3).toFixed(3)} ms a fit, mean of ${list.length} tasks`,
  )
  const before = process.hrtime.bigint()
  bootstrapIntervals(list[0]!.source, list[0]!.target, { count: 500 })
  console.log(`${chart}: bootstrap of 500: ${(Number(process.hrtime.bigint() - before) / 1e9).toFixed(3)} s`)
  if (scipy.command === undefined) continue
  const run = spawnSync(scipy.command, [new URL('./solverBench.py', import.meta.url).pathname], {
    input: JSON.stringify(list),
    encoding: 'utf8',
    maxBuffer: 1 << 26,
  })
  if (run.status !== 0) throw new Error(run.stderr)
  const theirs = JSON.parse(run.stdout) as { smooth: number; norm: number; cost: number }[]
  // Ours once more after theirs: a machine is not as fast all the time.
  const again = mean(list.map(ours).map((fit) => fit.seconds))
  const both = (us + again) / 2
  const worst = Math.max(...mine.map((fit, i) => fit.cost / theirs[i]!.cost - 1))
  for (const residuals of ['smooth', 'norm'] as const) {
    const them = mean(theirs.map((fit) => fit[residuals]))
    const what = residuals === 'smooth' ? 'the three smooth residuals' : 'their norm'
    console.log(
      `${chart}: scipy on ${what} ${(them * 1e3).toFixed(1)} ms a fit; ratio ${(them / both).toFixed(0)}`,
    )
  }
  console.log(`${chart}: our cost less scipy's, relative: at most ${worst.toExponential(1)}`)
}

// A match with all that it says of itself.
const noisy = ([r, g, b]: Vec3, random: () => number): Vec3 => [
  r + 0.001 * (random() - 0.5),
  g + 0.001 * (random() - 0.5),
  b + 0.001 * (random() - 0.5),
]
const working = resolvePrimaries('bt709')
const encoding = resolveEncoding('linear')
const chart = builtinChart('chart24')
const inputs = tasks('chart24').map(({ source, target }, t) => {
  const random = seededRandom(t + 1)
  const read = (light: Vec3[]) => ({
    patches: chart.patches.map(({ name }, p) => ({
      patch: name,
      rgb: noisy(light[p]!, random),
      sd: [0.005, 0.005, 0.005] as const,
      pixels: 400,
    })),
  })
  return {
    chart,
    readings: read(source),
    encoding,
    target: targetFromCamera(chart, read(target), encoding, working),
    working,
  }
})
for (const model of ['lift-gain-matrix', 'auto'] as const) {
  const times: number[] = []
  for (let round = 0; round < 600; round++) {
    const start = process.hrtime.bigint()
    matchCamera(inputs[round % inputs.length]!, { model })
    times.push(Number(process.hrtime.bigint() - start) / 1e6)
  }
  const [first] = times
  console.log(
    `matchCamera with its judgement, ${model}: ${undisturbed(times.slice(200)).toFixed(1)} ms warm; the first of this process ${first!.toFixed(0)} ms`,
  )
}
