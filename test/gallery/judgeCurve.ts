import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import {
  builtinChart,
  type Encoding,
  type FitOptions,
  IsochipError,
  matchCamera,
  type Readings,
  resolveEncoding,
  resolvePrimaries,
  type Target,
  targetFromReference,
} from '@isochip/core'
import { parseReadings } from '@isochip/frames'
import { type CurveFamily, curveFamilies, curveTask } from '../support/curveTasks.ts'

/**
 * What the ways of fitting leave of a patch that they have not seen: each patch in turn gets the weight 0, and everything
 * is fitted anew. Towards the published values for readings of real photographs, taken as sRGB, where a folder of them
 * (CSV, chart24) is given; and between measured sensors, with right and wrong curves declared.
 *
 * `node --import tsx/esm -C @isochip/source test/gallery/judgeCurve.ts TASKS_A_FAMILY [FOLDER]`
 */
const chart = builtinChart('chart24')
const working = resolvePrimaries('bt709')

const ways: Readonly<Record<string, FitOptions>> = {
  declared: {},
  'declared, auto': { model: 'auto' },
  'declared, divided': { evenness: 'divide' },
  corrected: { curve: 'corrected' },
  'corrected, root-polynomial-2': { curve: 'corrected', model: 'root-polynomial-2' },
  'corrected, auto': { curve: 'corrected', model: 'auto' },
  measured: { curve: 'measured' },
  'measured, auto': { curve: 'measured', model: 'auto' },
}

interface Task {
  readonly name: string
  readonly readings: Readings
  readonly encoding: Encoding
  readonly target: Target
}

/** Mean ΔE00 of the patches left out; `undefined` where one of the fits is refused. */
function leftOut({ readings, encoding, target }: Task, options: FitOptions): number | undefined {
  const differences: number[] = []
  for (const { patch, clipped = 0 } of readings.patches) {
    if (clipped > 0.01) continue
    try {
      const weights = { patches: { [patch]: 0 } }
      const match = matchCamera({ chart, readings, encoding, target, working }, { ...options, weights })
      const one = match.patches.find((other) => other.patch === patch)
      if (one?.excluded === 'weight 0 was asked for') differences.push(one.dE00.after)
    } catch (error) {
      if (!(error instanceof IsochipError)) throw error
      return undefined
    }
  }
  return differences.reduce((sum, value) => sum + value, 0) / differences.length
}

function judge(tasks: readonly Task[], about: string): void {
  const left = tasks.map((task) => Object.values(ways).map((options) => leftOut(task, options)))
  console.log(`\n${about}: ${tasks.length} tasks\n`)
  console.log('| fitted | tasks | mean ΔE00 | ratio to declared: mean | worst |')
  console.log('| --- | --- | --- | --- | --- |')
  for (const [i, way] of Object.keys(ways).entries()) {
    const both = left.flatMap((row) =>
      row[0] === undefined || row[i] === undefined ? [] : [{ base: row[0], own: row[i] }],
    )
    const ratios = both.map(({ base, own }) => own / base)
    const mean = (values: readonly number[]) => values.reduce((sum, v) => sum + v, 0) / values.length
    console.log(
      `| ${way} | ${both.length} | ${mean(both.map(({ own }) => own)).toFixed(2)} | ${mean(ratios).toFixed(3)} | ${Math.max(...ratios).toFixed(3)} |`,
    )
  }
  if (process.env.EACH === '1')
    for (const [t, row] of left.entries())
      console.log(tasks[t]!.name, row.map((v) => v?.toFixed(2) ?? 'refused').join('  '))
}

const count = Number(process.argv[2] ?? 6)
const folder = process.argv[3]
if (folder !== undefined) {
  const tasks = readdirSync(folder)
    .filter((name) => name.endsWith('.csv'))
    .map(
      (name): Task => ({
        name,
        readings: parseReadings(readFileSync(join(folder, name), 'utf8'), name, chart),
        encoding: resolveEncoding('srgb'),
        target: targetFromReference(chart, 'D65', working),
      }),
    )
  judge(tasks, 'photographs')
}
const synthetic = (family: CurveFamily): Task[] =>
  Array.from({ length: count }, (_, i) => {
    const { about, readings, declared, target } = curveTask(family, 1000 + i)
    return { name: about, readings, encoding: declared, target }
  })
for (const family of count > 0 ? curveFamilies : []) judge(synthetic(family), family)
