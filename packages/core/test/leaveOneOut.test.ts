import {
  applyModel,
  builtinChart,
  deltaE00,
  labOfLinear,
  type ModelKind,
  matchCamera,
  resolveEncoding,
  resolvePrimaries,
} from '@isochip/core'
import { patchLight } from '@isochip/synthetic'
import { describe, expect, it } from 'vitest'
import { exactTarget } from './support/exactTarget.ts'
import { readingsOf } from './support/readingsOf.ts'

const chart = builtinChart('chart24')
const names = chart.patches.map((patch) => patch.name)
const working = resolvePrimaries('bt709')
const seen = patchLight({ chart, device: 'sensor3', light: 'A' }).map((p) => p.light)
const aims = patchLight({ chart, device: 'sensor7', light: 'A' }).map((p) => p.light)
const lab = labOfLinear(working)

function match(model: ModelKind, objective: 'linear' | 'perceptual', without?: number) {
  const kept = names.flatMap((_, i) => (i === without ? [] : [i]))
  const of = <T>(list: readonly T[]) => kept.map((i) => list[i]!)
  return matchCamera(
    {
      chart,
      readings: readingsOf(of(names), of(seen)),
      encoding: resolveEncoding('linear'),
      target: exactTarget(names, aims),
      working,
    },
    { model, objective, robust: false, evenness: 'off' },
  )
}

describe('leave-one-out', () => {
  for (const model of ['lift-gain', 'lift-gain-matrix', 'root-polynomial-2'] as const) {
    it.each(['linear', 'perceptual'] as const)(
      `${model}, %s: as if the patch had never been read`,
      (objective) => {
        const { patches, summary } = match(model, objective)
        const brute = names.map((_, i) => {
          const { model: without } = match(model, objective, i)
          return deltaE00(lab(applyModel(without, seen[i]!)), lab(aims[i]!))
        })
        for (const [i, patch] of patches.entries()) {
          // The refits stop when a relative 1e-9 of the cost is left to gain, which is some 1e-4 of ΔE00.
          expect(Math.abs(patch.leaveOneOut! - brute[i]!), patch.patch).toBeLessThan(1e-3)
        }
        expect(summary.leaveOneOut!.mean).toBeCloseTo(brute.reduce((sum, dE) => sum + dE, 0) / 24, 3)
      },
    )
  }

  it('is worse than the residual of the fit, and more so the more terms there are', () => {
    for (const model of ['gain', 'lift-gain-matrix', 'root-polynomial-3'] as const) {
      const { summary } = match(model, 'perceptual')
      expect(summary.leaveOneOut!.mean).toBeGreaterThan(summary.after.mean)
    }
    const excess = (model: ModelKind) => {
      const { summary } = match(model, 'perceptual')
      return summary.leaveOneOut!.mean / summary.after.mean
    }
    expect(excess('root-polynomial-3')).toBeGreaterThan(excess('lift-gain-matrix'))
    expect(excess('lift-gain-matrix')).toBeGreaterThan(excess('gain'))
  })
})
