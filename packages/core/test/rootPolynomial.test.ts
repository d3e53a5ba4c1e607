import {
  applyModel,
  builtinChart,
  matchCamera,
  resolveEncoding,
  resolvePrimaries,
  type Vec3,
} from '@isochip/core'
import { patchLight } from '@isochip/synthetic'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { rootPolynomialTerms, rootPolynomialValues } from '../src/model/rootPolynomial.ts'
import { thousandths } from './support/arbitraries.ts'
import { exactTarget } from './support/exactTarget.ts'
import { readingsOf } from './support/readingsOf.ts'

const chart = builtinChart('chart24')
const names = chart.patches.map((patch) => patch.name)
const lights = (device: 'sensor1' | 'sensor5') =>
  patchLight({ chart, device, light: 'D65' }).map((p) => p.light)

// G. Finlayson, M. Mackiewicz, A. Hurlbert, Color correction using root-polynomial regression, IEEE Trans. Image
// Process. 24 (2015): every term is a root of a product of as many factors, so the correction of k times the light is
// k times the correction.
describe.each(['root-polynomial-2', 'root-polynomial-3'] as const)('%s', (kind) => {
  const terms = rootPolynomialTerms(kind)

  it('has the terms of the paper', () => {
    // Section III: degree 2 has 6 in all, degree 3 has 13.
    expect(3 + terms.length).toBe(kind === 'root-polynomial-2' ? 6 : 13)
    const values: number[] = []
    rootPolynomialValues(terms, 0.5, 0.2, 0.9, values, 0)
    const [r, g, b] = [0.5, 0.2, 0.9]
    const printed = [
      Math.sqrt(r * g),
      Math.sqrt(g * b),
      Math.sqrt(r * b),
      ...[r * g * g, g * b * b, r * b * b, g * r * r, b * g * g, b * r * r, r * g * b].map(Math.cbrt),
    ]
    for (const [i, value] of values.entries()) expect(value).toBeCloseTo(printed[i]!, 14)
  })

  it('scales every term with exposure', () => {
    fc.assert(
      fc.property(thousandths(1, 1000), fc.integer({ min: -6000, max: 6000 }), ([r, g, b], stops) => {
        const k = 2 ** (stops / 1000)
        const one: number[] = []
        const more: number[] = []
        rootPolynomialValues(terms, r, g, b, one, 0)
        rootPolynomialValues(terms, k * r, k * g, k * b, more, 0)
        for (const [i, value] of one.entries()) expect(more[i]! / (k * value)).toBeCloseTo(1, 12)
      }),
      { endOnFailure: true },
    )
  })

  const match = matchCamera(
    {
      chart,
      readings: readingsOf(names, lights('sensor5')),
      encoding: resolveEncoding('linear'),
      target: exactTarget(names, lights('sensor1')),
      working: resolvePrimaries('bt709'),
    },
    { model: kind, robust: false, evenness: 'off' },
  )

  it('as a fitted match is exposure-invariant, once its lift is added', () => {
    const { model } = match
    fc.assert(
      fc.property(thousandths(20, 1000), fc.integer({ min: -4000, max: 4000 }), (light, stops) => {
        const k = 2 ** (stops / 1000)
        const raised = (by: number): Vec3 => [
          by * light[0] - model.lift[0],
          by * light[1] - model.lift[1],
          by * light[2] - model.lift[2],
        ]
        const one = applyModel(model, raised(1))
        const size = Math.max(...one.map(Math.abs))
        for (const [c, value] of applyModel(model, raised(k)).entries()) {
          expect(Math.abs(value / k - one[c]!)).toBeLessThan(1e-11 * size)
        }
      }),
      { endOnFailure: true },
    )
  })

  it('keeps white: gain carries exposure and white balance, matrix and terms together sum to 1', () => {
    const { gain, lift, matrix, rootPolynomial } = match.model
    const white = (c: 0 | 1 | 2) => 1 / gain[c] - lift[c]
    for (const value of applyModel(match.model, [white(0), white(1), white(2)]))
      expect(value).toBeCloseTo(1, 10)
    for (const [c, row] of matrix.entries()) {
      const sum = [...row, ...rootPolynomial![c]!].reduce((total, value) => total + value, 0)
      expect(sum).toBeCloseTo(1, 10)
    }
  })
})
