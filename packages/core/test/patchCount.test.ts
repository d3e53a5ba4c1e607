import { applyModel, fitPatches, type MatchModel, type Vec3 } from '@isochip/core'
import { describe, expect, it } from 'vitest'
import { seededRandom } from '../src/random.ts'
import { normalNoise } from './support/normalNoise.ts'

const truth: MatchModel = {
  kind: 'lift-gain-matrix',
  lift: [0.004, -0.003, 0.002],
  gain: [1.2, 0.9, 1.4],
  matrix: [
    [1.1, -0.15, 0.05],
    [-0.05, 1.12, -0.07],
    [0.02, -0.2, 1.18],
  ],
}
const list = ({ lift, gain, matrix }: MatchModel) => [...lift, ...gain, ...matrix.flat()]

/** Root mean square, over so many charts, of each parameter's error; then the geometric mean over parameters. */
function error(patches: number, objective: 'linear' | 'perceptual', charts: number): number {
  const random = seededRandom(11)
  const normal = normalNoise(12)
  const squares = new Float64Array(15)
  for (let i = 0; i < charts; i++) {
    const value = () => 0.03 + 0.85 * random()
    const source = Array.from({ length: patches }, (): Vec3 => [value(), value(), value()])
    const target = source.map((light) => applyModel(truth, light))
    const read = source.map((light): Vec3 => {
      const channel = (c: 0 | 1 | 2) => light[c] + 0.002 * normal()
      return [channel(0), channel(1), channel(2)]
    })
    const { model } = fitPatches(read, target, { objective })
    for (const [k, number] of list(model).entries()) squares[k]! += (number - list(truth)[k]!) ** 2
  }
  return Math.exp(squares.reduce((sum, square) => sum + Math.log(square / charts) / 2, 0) / 15)
}

describe('noise of the readings', () => {
  // Standard statistics: standard errors of a regression fall with 1 / √n; with p columns and random patches they go
  // with 1 / √(n − p − 1) (the mean of an inverse Wishart matrix), which is what 24 patches are too few to hide.
  it.each([
    ['linear', 200],
    ['perceptual', 60],
  ] as const)(
    '%s: the error of the terms falls as the root of the number of patches',
    (objective, charts) => {
      const errors = [24, 96, 384].map((patches) => error(patches, objective, charts))
      const expected = (few: number, many: number) => Math.sqrt((many - 4 - 1) / (few - 4 - 1))
      // 15 terms, about six of them independent, over 60 charts: a ratio of two errors is good to some 5 %; three of those.
      expect(Math.abs(errors[0]! / errors[1]! / expected(24, 96) - 1)).toBeLessThan(0.15)
      expect(Math.abs(errors[1]! / errors[2]! / expected(96, 384) - 1)).toBeLessThan(0.15)
    },
  )

  it.each(['linear', 'perceptual'] as const)('%s: twice the noise is twice the error', (objective) => {
    const random = seededRandom(21)
    const value = () => 0.03 + 0.85 * random()
    const source = Array.from({ length: 48 }, (): Vec3 => [value(), value(), value()])
    const target = source.map((light) => applyModel(truth, light))
    const distance = (sigma: number) => {
      const normal = normalNoise(22)
      const { model } = fitPatches(
        source.map(
          (light): Vec3 => [
            light[0] + sigma * normal(),
            light[1] + sigma * normal(),
            light[2] + sigma * normal(),
          ],
        ),
        target,
        { objective },
      )
      return Math.hypot(...list(model).map((number, k) => number - list(truth)[k]!))
    }
    // The same noise, larger: to first order exactly twice.
    expect(distance(2e-4) / distance(1e-4)).toBeCloseTo(2, 1)
  })
})
