import { readFileSync } from 'node:fs'
import {
  builtinChart,
  type ModelKind,
  matchCamera,
  resolveEncoding,
  resolvePrimaries,
  type Vec3,
} from '@isochip/core'
import { describe, expect, it } from 'vitest'

// scipy.optimize.least_squares on the same numbers and a CIEDE2000 of its own: data/reference-fits/solve.py made the
// costs, tasks.ts the tasks (measured sensors of Jiang et al. 2013, ISO 17321-1 reflectances, CIE illuminants).
const read = (name: string) =>
  JSON.parse(readFileSync(new URL(`./data/reference-fits/${name}`, import.meta.url), 'utf8'))
const tasks = read('tasks.json') as { name: string; source: Vec3[]; target: Vec3[] }[]
const oracle = read('scipy.json') as { cost: Record<string, number>[] }

const chart = builtinChart('chart24')
const encoding = resolveEncoding('linear')
const working = resolvePrimaries('bt709')

/** Σ ΔE00² of our fit, from the public results. */
function cost(task: (typeof tasks)[number], model: ModelKind): number {
  const names = chart.patches.map((patch) => patch.name)
  const match = matchCamera(
    {
      chart,
      encoding,
      working,
      readings: { patches: task.source.map((rgb, i) => ({ patch: names[i]!, rgb })) },
      target: {
        light: new Map(task.target.map((light, i) => [names[i]!, light])),
        standardError: new Map(),
        excluded: new Map(),
        warnings: [],
      },
    },
    { model, robust: false, evenness: 'off' },
  )
  return match.patches.reduce((sum, patch) => sum + patch.dE00.after ** 2, 0)
}

describe('perceptual fits against scipy', () => {
  it('has a cost of scipy for every task', () => expect(oracle.cost).toHaveLength(tasks.length))

  for (const model of ['gain', 'lift-gain', 'matrix', 'lift-gain-matrix', 'root-polynomial-2'] as const) {
    it(`${model}: at or below scipy's cost on all ${tasks.length} tasks`, () => {
      for (const [i, task] of tasks.entries()) {
        // Relative 1e-6: what is left of either solver's stopping rule.
        expect(cost(task, model) / oracle.cost[i]![model]!, task.name).toBeLessThanOrEqual(1 + 1e-6)
      }
    })
  }
})
