import { readFileSync } from 'node:fs'
import { resolvePrimaries, type Vec3 } from '@isochip/core'
import { describe, expect, it } from 'vitest'
import { viewing } from '../../packages/core/src/colour/viewing.ts'
import { covarianceOf } from '../../packages/core/src/diagnose/covariance.ts'
import { fitKind } from '../../packages/core/src/fit/fitKind.ts'
import { samplesOf } from '../../packages/core/src/fit/fitPatches.ts'
import { identity3 } from '../../packages/core/src/linear/mat3.ts'
import { matchProblem } from '../../packages/core/src/problem/matchProblem.ts'

/** Made by `make.py` beside it: Bell and McCaffrey 2002, written out in numpy with the whole hat matrix. */
interface Task {
  readonly kind: 'matrix' | 'lift-gain-matrix'
  readonly source: readonly Vec3[]
  readonly target: readonly Vec3[]
  readonly weight: readonly number[]
  readonly standardErrors: readonly number[]
  readonly freedom: readonly (number | null)[]
}
const tasks: readonly Task[] = JSON.parse(
  readFileSync(new URL('./data/cluster-covariance/reference.json', import.meta.url), 'utf8'),
)

// A linear fit, whose estimate numpy solves by the normal equations: eight digits of it, and of what follows from it.
const digits = 1e-7

describe.each(tasks)('$kind on $source.length patches', ({ kind, source, target, weight, ...reference }) => {
  const problem = matchProblem(samplesOf(source, target, weight), {
    declared: identity3,
    viewing: viewing(resolvePrimaries('bt709'), 'scene'),
    objective: 'linear',
  })
  const covariance = covarianceOf(fitKind(kind, problem), problem)!

  it('has the standard errors of the reference', () => {
    const { lift, gain, matrix } = covariance.standardErrors(0)
    const errors = [...lift, ...gain, ...matrix.flat()]
    for (const [i, error] of errors.entries()) {
      // A kind without lift has no error in it.
      if (reference.standardErrors[i]! < 1e-12) expect(error).toBeLessThan(1e-9)
      else expect(Math.abs(error / reference.standardErrors[i]! - 1)).toBeLessThan(digits)
    }
  })

  it('has the degrees of freedom of the reference', () => {
    for (const [i, freedom] of covariance.freedom().entries()) {
      const expected = reference.freedom[i]
      if (expected === null || reference.standardErrors[i]! < 1e-12) continue
      // Never fewer than one, or there is no quantile.
      expect(Math.abs(freedom / Math.max(expected!, 1) - 1)).toBeLessThan(digits)
    }
  })
})
