import { apply3, applyModel, type Mat3, type MatchModel, modelMap, type Vec3 } from '@isochip/core'
import { expect, it } from 'vitest'

// The identity that the map stands for: the match, then the matrix after it.
const after: Mat3 = [
  [1.6, -0.5, -0.1],
  [-0.12, 1.13, -0.01],
  [-0.02, -0.1, 1.12],
]
const linear: MatchModel = {
  kind: 'lift-gain-matrix',
  lift: [0.01, -0.02, 0.005],
  gain: [1.2, 0.9, 1.4],
  matrix: [
    [1.1, -0.2, 0.1],
    [0.05, 0.9, 0.05],
    [-0.1, 0.3, 0.8],
  ],
}
const bent: MatchModel = {
  ...linear,
  kind: 'root-polynomial-2',
  rootPolynomial: [
    [0.1, -0.05, 0.02],
    [0.03, 0.04, -0.06],
    [-0.02, 0.07, 0.01],
  ],
}

it.each([linear, bent])('$kind: the map is the match and the matrix after it', (model) => {
  const map = modelMap(model, after)
  const out = new Float64Array(3)
  const colours: Vec3[] = [
    [0.18, 0.18, 0.18],
    [0.9, 0.05, 0.3],
    [-0.02, 0.4, 1.3],
  ]
  for (const light of colours) {
    map(...light, out)
    const expected = apply3(after, applyModel(model, light))
    for (const c of [0, 1, 2] as const) expect(out[c]).toBeCloseTo(expected[c], 14)
  }
})
