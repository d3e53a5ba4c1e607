/**
 * The perceptual fit against scipy's on the same residuals:
 * `node --import tsx/esm -C @isochip/source test/bench/solverBench.ts`. CPU time; ours is the median of many fits
 * after a warm-up, scipy's the best of five. Above 1 means that we are faster.
 */
import { spawnSync } from 'node:child_process'
import { bootstrapIntervals, builtinChart, fitPatches, type Vec3 } from '@isochip/core'
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

const median = (values: number[]) => values.sort((a, b) => a - b)[Math.floor(values.length / 2)]!
const mean = (values: number[]) => values.reduce((sum, value) => sum + value, 0) / values.length

function ours({ source, target }: Task): { seconds: number; cost: number } {
  const times: number[] = []
  let cost = 0
  for (let round = 0; round < 400; round++) {
    const start = process.hrtime.bigint()
    cost = fitPatches(source, target).cost
    if (round >= 100) times.push(Number(process.hrtime.bigint() - start) / 1e9)
  }
  return { seconds: median(times), cost }
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
  const theirs = JSON.parse(run.stdout) as { seconds: number; cost: number }[]
  const them = mean(theirs.map((fit) => fit.seconds))
  const worst = Math.max(...mine.map((fit, i) => fit.cost / theirs[i]!.cost - 1))
  console.log(
    `${chart}: scipy ${(them * 1e3).toFixed(1)} ms a fit; ratio ${(them / us).toFixed(0)}; our cost less scipy's, relative: at most ${worst.toExponential(1)}`,
  )
}
