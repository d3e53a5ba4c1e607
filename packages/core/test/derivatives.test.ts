import { builtinChart, type ModelKind, modelKinds, resolvePrimaries, type Vec3 } from '@isochip/core'
import { patchLight } from '@isochip/synthetic'
import { describe, expect, it } from 'vitest'
import { viewer, viewLab, viewLabSlope } from '../src/colour/viewer.ts'
import { samplesOf } from '../src/fit/fitPatches.ts'
import { linearFit } from '../src/fit/linearFit.ts'
import { residualsOf } from '../src/fit/residualsOf.ts'
import { identity3 } from '../src/linear/mat3.ts'
import { type Measure, matchProblem } from '../src/problem/matchProblem.ts'

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
    const seen = viewer(bt709, view)
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

describe('the slopes of the residuals by the parameters', () => {
  const chart = builtinChart('chart24')
  const light = (device: 'sensor1' | 'sensor2') =>
    patchLight({ chart, device, light: 'D65' }).map((p) => p.light)
  const weights = chart.patches.map((_, p) => 0.5 + (p % 3))
  const samples = samplesOf(light('sensor1'), light('sensor2'), weights)

  const check = (kind: ModelKind, measure: Pick<Measure, 'objective' | 'viewer'>) => {
    const whole = matchProblem(samples, { declared: identity3, ...measure })
    const design = whole.design(kind)
    const problem = residualsOf(whole, design)
    const { theta } = linearFit(design, samples)
    // Lifts too, where the linear start has none.
    for (let j = 0; j < theta.length; j++) theta[j]! += 0.001 * Math.sin(j + 1)
    const m = design.parameters
    const jacobian = new Float64Array(problem.residuals * m)
    expect(problem.evaluate(theta, new Float64Array(problem.residuals), jacobian)).toBe(true)
    const values = (at: Float64Array) => {
      const residuals = new Float64Array(problem.residuals)
      problem.evaluate(at, residuals)
      return residuals
    }
    const expected = slopesOf(values, theta, 1e-5)
    for (let j = 0; j < m; j++) {
      const size = Math.max(...expected[j]!.map(Math.abs))
      for (let i = 0; i < problem.residuals; i++)
        expect(Math.abs(jacobian[i * m + j]! - expected[j]![i]!) / size).toBeLessThan(2e-6)
    }
  }

  for (const kind of modelKinds) {
    it(`${kind}, linear light`, () => check(kind, { objective: 'linear', viewer: viewer(bt709, 'scene') }))
    it.each(views)(`${kind}, ΔE00 in the view of the %s`, (view) =>
      check(kind, { objective: 'perceptual', viewer: viewer(bt709, view) }),
    )
  }
})
