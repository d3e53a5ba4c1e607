import {
  applyModel,
  builtinChart,
  identity3,
  type Mat3,
  type ModelKind,
  modelKinds,
  resolvePrimaries,
  type Vec3,
} from '@isochip/core'
import { patchLight } from '@isochip/synthetic'
import { describe, expect, it } from 'vitest'
import { viewing, viewLab, viewLabSlope } from '../src/colour/viewing.ts'
import { parameterList } from '../src/diagnose/covariance.ts'
import { samplesOf } from '../src/fit/fitPatches.ts'
import { linearFit } from '../src/fit/linearFit.ts'
import { residualSlopes } from '../src/fit/residualSlopes.ts'
import { residualsOf } from '../src/fit/residualsOf.ts'
import type { Design } from '../src/model/design.ts'
import { designOf } from '../src/model/designOf.ts'
import { balancedSlopes } from '../src/model/model.ts'
import { nuisanceDesign } from '../src/model/nuisanceDesign.ts'
import { type Measure, matchProblem } from '../src/problem/matchProblem.ts'
import type { Samples } from '../src/samples/samples.ts'

// The reference is the definition: Richardson's extrapolation of central differences (error of fourth order), which
// at these steps leaves about nine digits of a slope of order one.
function slopesOf(values: (x: Float64Array) => Float64Array, at: Float64Array, step: number): Float64Array[] {
  const difference = (j: number, h: number) => {
    const up = Float64Array.from(at)
    const down = Float64Array.from(at)
    up[j]! += h
    down[j]! -= h
    const [high, low] = [values(up), values(down)]
    return high.map((value, i) => (value - low[i]!) / (2 * h))
  }
  return [...at].map((_, j) => {
    const [wide, narrow] = [difference(j, step), difference(j, step / 2)]
    return narrow.map((value, i) => (4 * value - wide[i]!) / 3)
  })
}

const bt709 = resolvePrimaries('bt709')
const views = ['scene', 'display'] as const

describe.each(views)('the slopes of the view of the %s', (view) => {
  // Both sides of the breaks of CIELAB (0.0089) and of BT.709 (0.018), and above white.
  const colours: Vec3[] = [
    [0.18, 0.18, 0.18],
    [0.9, 0.4, 0.1],
    [0.012, 0.3, 0.02],
    [0.004, 0.003, 0.005],
    [1.4, 0.05, 0.7],
  ]
  it.each(colours)('at %d, %d, %d', (r, g, b) => {
    const seen = viewing(bt709, view)
    const slope = new Float64Array(9)
    const lab = new Float64Array(3)
    viewLabSlope(seen, r, g, b, lab, slope)
    const plain = (rgb: Float64Array) => {
      const out = new Float64Array(3)
      viewLab(seen, rgb[0]!, rgb[1]!, rgb[2]!, out)
      return out
    }
    expect([...lab]).toEqual([...plain(Float64Array.of(r, g, b))])
    const expected = slopesOf(plain, Float64Array.of(r, g, b), 1e-4)
    const size = Math.max(...expected.flatMap((column) => [...column.map(Math.abs)]))
    for (let row = 0; row < 3; row++) {
      for (let c = 0; c < 3; c++)
        expect(Math.abs(slope[3 * row + c]! - expected[c]![row]!) / size).toBeLessThan(1e-6)
    }
  })
})

const linear: Pick<Measure, 'objective' | 'viewing'> = {
  objective: 'linear',
  viewing: viewing(bt709, 'scene'),
}
const inView = (view: (typeof views)[number]) =>
  ({ objective: 'perceptual', viewing: viewing(bt709, view) }) as const
const chart = builtinChart('chart24')
const light = (device: 'sensor1' | 'sensor2') =>
  patchLight({ chart, device, light: 'D65' }).map((p) => p.light)
const weights = chart.patches.map((_, p) => 0.5 + (p % 3))
const samples = samplesOf(light('sensor1'), light('sensor2'), weights)

/** Not at a solution, and with lifts where the linear start has none. */
function someTheta(design: Design): Float64Array {
  const { theta } = linearFit(design, samples)
  for (let j = 0; j < theta.length; j++) theta[j]! += 0.001 * Math.sin(j + 1)
  return theta
}

function residualsAt(
  of: Samples,
  measure: typeof linear,
  kind: ModelKind,
  theta: Float64Array,
): Float64Array {
  const problem = matchProblem(of, { declared, ...measure })
  const residuals = new Float64Array(3 * of.count)
  expect(residualsOf(problem, problem.design(kind)).evaluate(theta, residuals)).toBe(true)
  return residuals
}

// A conversion that mixes channels, so that the kinds without a matrix of their own are not diagonal either.
const declared: Mat3 = [
  [0.9, 0.08, 0.02],
  [0.05, 0.9, 0.05],
  [0.01, 0.09, 0.9],
]

const measures = [
  ['linear light', linear],
  ['ΔE00 in the view of the scene', inView('scene')],
  ['ΔE00 in the view of the display', inView('display')],
] as const

describe.each(modelKinds)('the slopes of the residuals of %s', (kind) => {
  describe.each(measures)('in %s', (_, measure) => {
    const problem = matchProblem(samples, { declared, ...measure })
    const design = problem.design(kind)
    const theta = someTheta(design)
    const slopes = residualSlopes(problem, design, theta)

    it('by the parameters', () => {
      const expected = slopesOf((at) => residualsAt(samples, measure, kind, at), theta, 1e-5)
      const m = design.parameters
      for (const [j, column] of expected.entries()) {
        const size = Math.max(...column.map(Math.abs))
        for (let i = 0; i < 3 * samples.count; i++)
          expect(Math.abs(slopes.byTheta[i * m + j]! - column[i]!) / size).toBeLessThan(2e-6)
      }
    })

    it.each(['source', 'target'] as const)('by the light of the %s', (of) => {
      const found = of === 'source' ? slopes.bySource : slopes.byTarget
      for (const c of [0, 1, 2]) {
        // One channel of all patches at once: the residuals of a patch depend on its own light only.
        const moved = (by: Float64Array): Samples => ({
          ...samples,
          [of]: samples[of].map((value, i) => value * (i % 3 === c ? 1 + by[0]! : 1)),
        })
        const [expected] = slopesOf(
          (by) => residualsAt(moved(by), measure, kind, theta),
          new Float64Array(1),
          1e-4,
        )
        const size = Math.max(...expected!.map(Math.abs))
        for (const [i, value] of expected!.entries()) {
          const slope = found[3 * i + c]! * samples[of][i - (i % 3) + c]!
          expect(Math.abs(slope - value) / size).toBeLessThan(2e-6)
        }
      }
    })
  })
})

describe('the slopes of lift, gain and matrix by the parameters', () => {
  it.each(['gain', 'lift-gain', 'matrix', 'lift-gain-matrix'] as const)('%s', (kind) => {
    const design = designOf(kind, { samples, declared })
    const theta = someTheta(design)
    const found = design.modelSlopes(theta)!
    const expected = slopesOf((at) => Float64Array.from(parameterList(design.toModel(at)!)), theta, 1e-4)
    for (const [j, column] of expected.entries()) {
      for (const [i, value] of column.entries()) expect(found[i * theta.length + j]).toBeCloseTo(value, 6)
    }
  })
})

it('the slopes of a nuisance of the readings', () => {
  const terms = 2
  const psi = Float64Array.from({ length: samples.count * terms * 3 }, (_, i) => Math.sin(i))
  for (const kind of ['lift-gain-matrix', 'root-polynomial-3'] as const) {
    const problem = matchProblem(samples, { declared, ...inView('scene') })
    const design = nuisanceDesign(kind, samples, declared, { terms, psi })
    const theta = Float64Array.from([...someTheta(design.inner), 0.1, -0.05])
    const m = design.parameters
    const slopes = residualSlopes(problem, design, theta)
    const values = (at: Float64Array) => {
      const residuals = new Float64Array(3 * samples.count)
      residualsOf(problem, design).evaluate(at, residuals)
      return residuals
    }
    for (const [j, column] of slopesOf(values, theta, 1e-5).entries()) {
      const size = Math.max(...column.map(Math.abs))
      for (const [i, value] of column.entries())
        expect(Math.abs(slopes.byTheta[i * m + j]! - value) / size).toBeLessThan(2e-6)
    }
  }
})

it.each([
  [0.18, 0.18, 0.18],
  [0.4, 0.11, 0.27],
] as const)('the slopes of a balanced root-polynomial match at %s, %s, %s', (...levelled) => {
  const model = matchProblem(samples, { declared, ...linear })
    .design('root-polynomial-3')
    .toModel(someTheta(designOf('root-polynomial-3', { samples, declared })))!
  const balanced = (x: Float64Array) => {
    const of = (c: 0 | 1 | 2) => x[c]! / model.gain[c] - model.lift[c]
    return Float64Array.from(applyModel(model, [of(0), of(1), of(2)]))
  }
  const expected = slopesOf(balanced, Float64Array.of(...levelled), 1e-3)
  const found = balancedSlopes(model, levelled)
  for (const k of [0, 1, 2] as const)
    for (const c of [0, 1, 2] as const) expect(found[c][k]).toBeCloseTo(expected[k]![c]!, 7)
})

describe('the sums over the rows of a Jacobian', () => {
  it.each(modelKinds)('are those that a design works out by its form, if it does: %s', (kind) => {
    const chart = builtinChart('chart24')
    const light = (device: 'sensor1' | 'sensor4') =>
      patchLight({ chart, device, light: 'A' }).map((p) => p.light)
    const problem = matchProblem(
      samplesOf(
        light('sensor1'),
        light('sensor4'),
        chart.patches.map((_, p) => 1 + p / 7),
      ),
      { declared: identity3, viewing: viewing(bt709, 'scene'), objective: 'perceptual' },
    )
    const design = problem.design(kind)
    const of = residualsOf(problem, design)
    expect(of.products === undefined).toBe(kind !== 'lift-gain-matrix')
    if (of.products === undefined) return
    const m = design.parameters
    const r = new Float64Array(of.residuals)
    const J = new Float64Array(of.residuals * m)
    of.evaluate(linearFit(design, problem.samples).theta, r, J)
    const [normal, gradient] = [new Float64Array(m * m), new Float64Array(m)]
    of.products(r, J, normal, gradient)
    for (let j = 0; j < m; j++) {
      const sum = (by: (i: number) => number) => r.reduce((total, _, i) => total + J[i * m + j]! * by(i), 0)
      expect(gradient[j]! / sum((i) => r[i]!)).toBeCloseTo(1, 10)
      for (let k = j; k < m; k++) expect(normal[j * m + k]! / sum((i) => J[i * m + k]!)).toBeCloseTo(1, 10)
    }
  })

  it('are not those of the match alone where a nuisance is fitted along', () => {
    const samples = samplesOf([[0.2, 0.3, 0.4]], [[0.2, 0.3, 0.4]])
    const psi = new Float64Array(3).fill(1)
    expect(nuisanceDesign('lift-gain-matrix', samples, identity3, { terms: 1, psi }).products).toBeUndefined()
  })
})
