import { expect, it } from 'vitest'
import { resolvePrimaries } from '../src/colour/primaries.ts'
import { viewing } from '../src/colour/viewing.ts'
import { covarianceOf } from '../src/diagnose/covariance.ts'
import { noiseVariances } from '../src/diagnose/noiseVariances.ts'
import { fitKind } from '../src/fit/fitKind.ts'
import { residualSlopes } from '../src/fit/residualSlopes.ts'
import { type Measure, matchProblem } from '../src/problem/matchProblem.ts'
import { seededRandom } from '../src/random.ts'
import type { Samples } from '../src/samples/samples.ts'

const random = seededRandom(11)
const count = 24
const numbers = (scale: number) => Float64Array.from({ length: 3 * count }, () => scale * (0.1 + random()))
const source = numbers(1)
const measure: Measure = {
  declared: [
    [1, 0, 0],
    [0, 1, 0],
    [0, 0, 1],
  ],
  viewing: viewing(resolvePrimaries('bt709'), 'scene'),
  objective: 'linear',
}
const samples: Samples = {
  count,
  source,
  target: source.map((value, i) => 0.9 * value + 0.05 * source[i - (i % 3)]! + 0.01 * random()),
  weight: new Float64Array(count).fill(1),
  sourceError: new Float64Array(3 * count),
  targetError: numbers(0.001),
}
const problem = matchProblem(samples, measure)

it('errors of the target alone: those of the linear residuals themselves, since these are model less target', () => {
  const { theta } = fitKind('lift-gain-matrix', problem)
  const variances = noiseVariances(
    residualSlopes(problem, problem.design('lift-gain-matrix'), theta),
    samples,
  )
  variances.forEach((variance, i) => {
    expect(variance / samples.targetError[i]! ** 2).toBeCloseTo(1, 6)
  })
})

it('errors of the source alone: through the matrix of the model, squares added', () => {
  const { theta, model } = fitKind('lift-gain-matrix', problem)
  const known = { ...samples, sourceError: samples.targetError, targetError: samples.sourceError }
  const variances = noiseVariances(residualSlopes(problem, problem.design('lift-gain-matrix'), theta), known)
  for (let p = 0; p < count; p++)
    for (const c of [0, 1, 2] as const) {
      const expected = ([0, 1, 2] as const).reduce<number>(
        (sum, k) => sum + (model.matrix[c][k] * model.gain[k] * known.sourceError[3 * p + k]!) ** 2,
        0,
      )
      expect(variances[3 * p + c]! / expected).toBeCloseTo(1, 6)
    }
})

it('there is no covariance where the patches leave terms of the model open', () => {
  const fit = fitKind('lift-gain-matrix', problem)
  expect(covarianceOf(fit, problem)).toBeDefined()
  // Three patches: nine equations for twelve terms.
  const three = problem.reweighted(samples.weight.map((_, p) => (p < 3 ? 1 : 0)))
  expect(covarianceOf(fit, three)).toBeUndefined()
})
