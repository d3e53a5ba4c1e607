import { readFileSync } from 'node:fs'
import { expect, it } from 'vitest'
import { NodeEquations } from '../../packages/export/src/bake/bounded/nodeEquations.ts'

// scipy.optimize.lsq_linear with bounds, on the same samples and barycentric coordinates of its own: data/bounded-nodes/solve.py
// made the nodes.
const read = (name: string) =>
  JSON.parse(readFileSync(new URL(`./data/bounded-nodes/${name}`, import.meta.url), 'utf8'))
type Sample = [x: number, y: number, z: number, weight: number, ...colour: number[]]
const tasks = read('tasks.json') as { size: number; samples: Sample[] }[]
const oracle = read('scipy.json') as number[][]

it.each(tasks.map((task, i) => [task.size, task.samples, oracle[i]!] as const))(
  'nodes within 0…1 by least squares, %i per axis: those of scipy, of which some are at their bounds',
  (size, samples, theirs) => {
    const equations = new NodeEquations(size)
    for (const [x, y, z, weight, ...colour] of samples) {
      const [i, j, k] = [x, y, z].map((p) => Math.min(Math.floor(p), size - 2)) as [number, number, number]
      const base = i + size * (j + size * k)
      equations.add(base, x - i, y - j, z - k, weight, Float64Array.from(colour), 0)
    }
    const nodes = new Float64Array(3 * size ** 3).fill(0.5)
    equations.solve(nodes, new Uint8Array(size ** 3))
    expect(theirs.filter((t) => t === 0 || t === 1).length).toBeGreaterThan(3)
    // What is left when a step is less than a hundredth of a 16-bit code.
    for (const [i, t] of theirs.entries()) expect(Math.abs(nodes[i]! - t), `number ${i}`).toBeLessThan(2e-6)
  },
)
