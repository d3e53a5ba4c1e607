import { expect, it } from 'vitest'
import { resolvePrimaries } from '../src/colour/primaries.ts'
import { viewing } from '../src/colour/viewing.ts'
import { priorTowardsLevels } from '../src/fit/priorTowardsLevels.ts'
import { apply3, type Mat3, type Vec3 } from '../src/linear/mat3.ts'
import { matchProblem } from '../src/problem/matchProblem.ts'
import { seededRandom } from '../src/random.ts'

const declared: Mat3 = [
  [0.9, 0.15, -0.05],
  [0.1, 0.8, 0.1],
  [-0.02, 0.07, 0.95],
]
const gain: Vec3 = [1.3, 0.9, 1.6]
const lift: Vec3 = [0.01, -0.004, 0.006]

it('lift and gain of a camera come back as the middle of the prior, through its declared primaries', () => {
  const random = seededRandom(5)
  const count = 6
  const source = Float64Array.from({ length: 3 * count }, () => 0.05 + 0.8 * random())
  const target = new Float64Array(3 * count)
  for (let p = 0; p < count; p++) {
    const at = (c: 0 | 1 | 2) => gain[c] * source[3 * p + c]! + lift[c]
    target.set(apply3(declared, [at(0), at(1), at(2)]), 3 * p)
  }
  const error = new Float64Array(3 * count).fill(1e-4)
  const problem = matchProblem(
    {
      count,
      source,
      target,
      weight: new Float64Array(count).fill(1),
      sourceError: error,
      targetError: error,
    },
    { declared, viewing: viewing(resolvePrimaries('bt709'), 'scene'), objective: 'linear' },
  )
  const { centre } = priorTowardsLevels(problem, 4, 1e-6)
  const through = apply3(declared, lift)
  for (const c of [0, 1, 2] as const) {
    for (const k of [0, 1, 2] as const) expect(centre[4 * c + k]).toBeCloseTo(declared[c][k] * gain[k], 9)
    expect(centre[4 * c + 3]).toBeCloseTo(through[c], 9)
  }
})
