import { expect, test } from 'vitest'
import { resolvePrimaries } from '../src/colour/primaries.ts'
import { viewing } from '../src/colour/viewing.ts'
import { resolveEncoding } from '../src/encoding/encoding.ts'
import { curveOf } from '../src/lineup/chain/chain.ts'
import { learnProblem } from '../src/lineup/chain/learnProblem.ts'
import { oneShotProblem } from '../src/lineup/shot/oneShotProblem.ts'
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
      viewing(resolvePrimaries('bt709'), view),
      target,
      numbers(patches, 0.3, 1),
    )

    test(`derivatives of a turn, ${name} by ${view}, against central differences`, () => {
      const free = Array.from({ length: 14 }, (_, i) => i)
      const cameras = [0.02, -0.01].map((pedestal) => ({
        chain: {
          afterGains: [
            [1.6, -0.5, -0.1],
            [-0.2, 1.5, -0.3],
            [0.05, -0.45, 1.4],
          ] as const,
          pedestal: [pedestal, 0.01, 0],
        },
        acts: [0.9, 1.1, 1.2, 0.8],
        bends: [0.9, 1.1] as const,
      }))
      const problem = turnProblem(curve, signal, sight, cameras, free, new Float64Array(14))
      const theta = Float64Array.of(
        ...[0.2, -0.05, 0.1, 0.03, -0.02, 0.04, 0.01, -0.03, 0.02, 0.01, -0.01, 0.004],
        ...[0.006, -0.04],
      )
      // The slopes of the curve are taken over a millionth of the signal.
      expect(worst(problem, theta)).toBeLessThan(2e-5)
    })

    test(`derivatives of a single shot, ${name} by ${view}, against central differences`, () => {
      const problem = oneShotProblem(curve, signal, sight, new Float64Array(12))
      const theta = Float64Array.of(1.1, 0.05, -0.05, 0.02, 0.9, 0.03, -0.04, 0.06, 1.05, 0.01, -0.005, 0.02)
      expect(worst(problem, theta)).toBeLessThan(2e-5)
    })

    test(`derivatives of what two turns tell, ${name} by ${view}, against central differences`, () => {
      const asked = [
        Float64Array.of(
          0.3,
          0.08,
          -0.06,
          0.03,
          -0.02,
          0.05,
          0.02,
          -0.04,
          0.01,
          0.01,
          -0.012,
          0.008,
          -0.005,
          0.03,
        ),
        Float64Array.of(-0.1, 0.02, 0.03, -0.02, 0.04, 0.01, -0.03, 0.02, 0.05, -0.004, 0.006, 0.003),
      ]
      const shots = [0, 1, 2].map((i) => ({
        signal: i === 0 ? signal : numbers(3 * patches, 0.15, 0.85),
        pedestal: [0.01, 0.002, -0.005],
        pedestalError: [0.004, 0.006, 0.005],
        ...(asked[i] === undefined ? {} : { asked: asked[i] }),
      }))
      const along = Array.from({ length: 6 }, () => {
        const row = () => {
          const [a, b] = numbers(2, -0.1, 0.1)
          return [a!, b!, -a! - b!] as const
        }
        return [row(), row(), row()] as const
      })
      const base = [
        [1.6, -0.5, -0.1],
        [-0.2, 1.5, -0.3],
        [0.05, -0.45, 1.4],
      ] as const
      const problem = learnProblem(curve, shots, { base, along }, new Float64Array(37), {
        signal: 0.004,
        pedestal: 0.008,
      })
      // A step of a millionth is lost in rounding where a number moves little: all are moved off nought.
      const theta = Float64Array.from({ length: 37 }, (_, j) => (j < 6 ? 0.3 : 0.01) * Math.cos(j))
      expect(worst(problem, theta)).toBeLessThan(2e-5)
    })
  }
}
