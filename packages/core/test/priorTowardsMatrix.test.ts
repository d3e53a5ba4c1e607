import {
  applyModel,
  builtinChart,
  deltaE00,
  fitPatches,
  labOfLinear,
  matchCamera,
  resolveEncoding,
  resolvePrimaries,
  type Vec3,
} from '@isochip/core'
import { patchLight } from '@isochip/synthetic'
import { describe, expect, it } from 'vitest'
import { exactTarget } from './support/exactTarget.ts'
import { readingsOf } from './support/readingsOf.ts'

// Of this chart no spectra are known: all that auto has are the patches.
const chart = builtinChart('quay48')
const names = chart.patches.map((patch) => patch.name)
const working = resolvePrimaries('bt709')
const lab = labOfLinear(working)
const source = patchLight({ chart, device: 'sensor3', light: 'D65' }).map((patch) => patch.light)

// A camera whose colours a root-polynomial match takes exactly to the target, and no matrix does.
const truth = {
  kind: 'root-polynomial-2',
  lift: [0.004, -0.003, 0.002],
  gain: [1.1, 0.9, 1.2],
  matrix: [
    [1.9, -0.4, -0.1],
    [-0.2, 1.4, 0.1],
    [0.1, -0.5, 1.6],
  ],
  rootPolynomial: [
    [-0.3, 0.1, -0.2],
    [0.2, -0.4, -0.1],
    [-0.3, 0.2, -0.1],
  ],
} as const
const target = source.map((light) => applyModel(truth, light))
const size = (terms: readonly (readonly number[])[] = []) => Math.hypot(...terms.flat())

function auto(seen: readonly Vec3[], aims: readonly Vec3[]) {
  return matchCamera(
    {
      chart,
      readings: readingsOf(names, seen),
      encoding: resolveEncoding('linear'),
      target: exactTarget(names, aims),
      working,
    },
    { model: 'auto' },
  )
}

describe("auto's root-polynomial match", () => {
  it('is regularised towards the matrix: smaller terms than the free fit, which finds the truth', () => {
    const free = fitPatches(source, target, { model: 'root-polynomial-2' })
    expect(size(free.model.rootPolynomial)).toBeCloseTo(size(truth.rootPolynomial), 6)
    const match = auto(source, target)
    expect(match.model.kind).toBe('root-polynomial-2')
    expect(size(match.model.rootPolynomial)).toBeLessThan(size(truth.rootPolynomial))
    const off = (model: typeof match.model) =>
      source.reduce((sum, light, p) => sum + deltaE00(lab(applyModel(model, light)), lab(target[p]!)), 0) /
      names.length
    // Most of what the matrix leaves is gone all the same.
    expect(off(match.model)).toBeLessThan(0.35 * off(fitPatches(source, target).model))
  })

  it('does not depend on the exposure, as the pull is relative to the gain', () => {
    const darker = source.map((light): Vec3 => [light[0] / 8, light[1] / 8, light[2] / 8])
    const [one, other] = [auto(source, target), auto(darker, target)]
    for (const [c, row] of one.model.rootPolynomial!.entries())
      for (const [i, term] of row.entries()) expect(other.model.rootPolynomial![c]![i]).toBeCloseTo(term, 6)
    expect(other.model.gain[1] / one.model.gain[1]).toBeCloseTo(8, 6)
  })

  it('is no caution, has a budget, and its leave-one-out is that of the drawn fit', () => {
    const match = auto(source, target)
    expect(match.warnings.map((warning) => warning.code)).not.toContain('regularised')
    expect(match.diagnosis.converged).toBe(true)
    const { limit, or: _, ...shares } = match.diagnosis.budget!
    expect(Object.values(shares).reduce((sum, share) => sum + share, 0)).toBeCloseTo(1, 9)
    expect(shares[limit]).toBeGreaterThan(0.1)
    const stated = match.diagnosis.candidates!.find(({ kind }) => kind === 'root-polynomial-2')!
    expect(match.summary.leaveOneOut!.mean).toBeCloseTo(stated.leaveOneOut, 9)
  })
})
