import { expect, test } from 'vitest'
import { resolvePrimaries } from '../src/colour/primaries.ts'
import { viewer } from '../src/colour/viewer.ts'
import { resolveEncoding } from '../src/encoding/encoding.ts'
import { curveOf } from '../src/lineup/chain.ts'
import { oneShotProblem } from '../src/lineup/oneShotProblem.ts'
import { sightOf } from '../src/lineup/sight.ts'
import { turnProblem } from '../src/lineup/turnProblem.ts'
import { seededRandom } from '../src/random.ts'
import type { LeastSquaresProblem } from '../src/solver/leastSquaresProblem.ts'

const random = seededRandom(7)
const numbers = (n: number, low: number, high: number) =>
  Float64Array.from({ length: n }, () => low + (high - low) * random())
const patches = 8

/** Largest difference between a problem's derivatives and central differences of its residuals, over their scale. */
function worst(problem: LeastSquaresProblem, theta: Float64Array): number {
  const { parameters, residuals } = problem
  const at = (values: Float64Array) => {
    const out = new Float64Array(residuals)
    const jacobian = new Float64Array(residuals * parameters)
    expect(problem.evaluate(values, out, jacobian)).toBe(true)
    return { out, jacobian }
  }
  const { jacobian } = at(theta)
  let off = 0
  for (let j = 0; j < parameters; j++) {
    const h = 1e-6
    const moved = (by: number) => at(theta.map((value, i) => (i === j ? value + by : value))).out
    const [ahead, behind] = [moved(h), moved(-h)]
    const slopes = ahead.map((value, i) => (value - behind[i]!) / (2 * h))
    const scale = Math.max(...slopes.map(Math.abs))
    expect(scale).toBeGreaterThan(0)
    for (const [i, slope] of slopes.entries())
      off = Math.max(off, Math.abs(slope - jacobian[i * parameters + j]!) / scale)
  }
  return off
}

for (const view of ['scene', 'display'] as const) {
  for (const name of ['bt709', 'srgb', 'linear'] as const) {
    const curve = curveOf(resolveEncoding(name))
    const signal = numbers(3 * patches, 0.15, 0.85)
    const target = numbers(3 * patches, 0.05, 0.8)
    const sight = sightOf(
      curve,
      [
        [0.9, 0.08, 0.02],
        [0.05, 0.9, 0.05],
        [0.01, 0.09, 0.9],
      ],
      viewer(resolvePrimaries('bt709'), view),
      target,
      numbers(patches, 0.3, 1),
    )

    test(`derivatives of a turn, ${name} by ${view}, against central differences`, () => {
      const free = [0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11]
      const cameras = [0.02, -0.01].map((pedestal) => ({
        chain: {
          behind: [
            [1.6, -0.5, -0.1],
            [-0.2, 1.5, -0.3],
            [0.05, -0.45, 1.4],
          ] as const,
          pedestal: [pedestal, 0.01, 0],
        },
        acts: [0.9, 1.1, 1.2, 0.8],
      }))
      const problem = turnProblem(curve, signal, sight, cameras, free, new Float64Array(12))
      const theta = Float64Array.of(0.2, -0.05, 0.1, 0.03, -0.02, 0.04, 0.01, -0.03, 0.02, 0.01, -0.01, 0.004)
      // The slopes of the curve are taken over a millionth of the signal.
      expect(worst(problem, theta)).toBeLessThan(2e-5)
    })

    test(`derivatives of a single shot, ${name} by ${view}, against central differences`, () => {
      const problem = oneShotProblem(curve, signal, sight, new Float64Array(12))
      const theta = Float64Array.of(1.1, 0.05, -0.05, 0.02, 0.9, 0.03, -0.04, 0.06, 1.05, 0.01, -0.005, 0.02)
      expect(worst(problem, theta)).toBeLessThan(2e-5)
    })
  }
}
