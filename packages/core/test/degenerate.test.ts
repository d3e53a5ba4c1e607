import {
  builtinChart,
  type FittedMatch,
  IsochipError,
  type ModelKind,
  matchCamera,
  modelKinds,
  resolveEncoding,
  resolvePrimaries,
  targetFromReference,
  type Vec3,
} from '@isochip/core'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { wholeTask } from '../../../test/support/wholeTask.ts'
import { seededRandom } from '../src/random.ts'
import { thousandths } from './support/arbitraries.ts'
import { exactTarget } from './support/exactTarget.ts'
import { normalNoise } from './support/normalNoise.ts'
import { readingsOf } from './support/readingsOf.ts'

const chart = builtinChart('chart24')
const names = chart.patches.map((patch) => patch.name)
const working = resolvePrimaries('bt709')
const reference = targetFromReference(chart, 'C', working)
const aims = names.map((name) => reference.light.get(name)!)

type Outcome = FittedMatch | IsochipError

function attempt(
  model: ModelKind | 'auto',
  seen: readonly Vec3[],
  target: readonly Vec3[] = aims,
  objective: 'linear' | 'perceptual' = 'perceptual',
): Outcome {
  const read = names.slice(0, seen.length)
  try {
    return matchCamera(
      {
        chart,
        readings: readingsOf(read, seen),
        encoding: resolveEncoding('linear'),
        target: exactTarget(read, target.slice(0, seen.length)),
        working,
      },
      { model, objective },
    )
  } catch (error) {
    if (error instanceof IsochipError) return error
    throw error
  }
}

/** Every number in it, wherever it stands. */
function numbersOf(value: unknown): number[] {
  if (typeof value === 'number') return [value]
  if (value === null || typeof value !== 'object') return []
  return Object.values(value).flatMap(numbersOf)
}

/** A fault with a code of ours, or a match without a number that is none. */
function expectSound(outcome: Outcome) {
  if (outcome instanceof IsochipError) {
    expect(['too-few-patches', 'rank-deficient', 'clipped']).toContain(outcome.code)
    expect(outcome.message).not.toMatch(/NaN|Infinity|undefined/)
    return
  }
  const { model, patches, summary, onSet, diagnosis } = outcome
  // A condition may be infinite; that is what it says.
  const { condition, ...rest } = diagnosis
  expect(Number.isNaN(condition)).toBe(false)
  expect(numbersOf({ model, patches, summary, onSet, rest }).filter((n) => !Number.isFinite(n))).toEqual([])
  for (const gain of model.gain) expect(gain).toBeGreaterThan(0)
}

/** A matrix that no camera needs, given without a word of doubt and with figures that look like a match. */
function confidentlyWild(outcome: Outcome): boolean {
  if (outcome instanceof IsochipError) return false
  const { model, summary, diagnosis, warnings } = outcome
  if (summary.after.mean > 3 || (summary.leaveOneOut?.mean ?? 0) > 3) return false
  if (Math.max(...model.matrix.flat().map(Math.abs)) < 5) return false
  const doubted = warnings.some((warning) =>
    ['few-patches', 'overfitted', 'ill-conditioned', 'not-converged', 'regularised'].includes(warning.code),
  )
  const open = (diagnosis.intervals?.matrix.flat() ?? []).some(({ low, high }) => high - low > 1)
  return !doubted && !open
}

/** Must not come back with a matrix: the patches do not carry one. */
function expectNoMatrix(model: ModelKind | 'auto', outcome: Outcome) {
  expectSound(outcome)
  if (outcome instanceof IsochipError) return
  expect(['gain', 'lift-gain'], `${model} came back`).toContain(outcome.model.kind)
  if (model === 'auto') expect(outcome.warnings.map((warning) => warning.code)).toContain('model-reduced')
}

const kind = fc.constantFrom<ModelKind | 'auto'>(...modelKinds, 'auto')
const objective = fc.constantFrom<'linear' | 'perceptual'>('linear', 'perceptual')
const light = thousandths(20, 900)
const seed = fc.integer({ min: 1, max: 1_000_000 })
function noisy(lights: readonly Vec3[], sigma: number, from: number): Vec3[] {
  const normal = normalNoise(from)
  return lights.map(([r, g, b]): Vec3 => [r + sigma * normal(), g + sigma * normal(), b + sigma * normal()])
}

const options = { numRuns: wholeTask ? 40 : 8, endOnFailure: true }

describe('charts that do not carry a matrix', () => {
  const greyChart = (
    model: ModelKind | 'auto',
    fit: 'linear' | 'perceptual',
    tint: Vec3,
    sigma: number,
    from: number,
  ) => {
    const random = seededRandom(from)
    const levels = names.map(() => 0.03 + 0.8 * random())
    const seen = levels.map((v): Vec3 => [v * tint[0], v * tint[1], v * tint[2]])
    const target = levels.map((v): Vec3 => [v, v, v])
    const outcome = attempt(model, noisy(seen, sigma, from + 1), target, fit)
    // Root-polynomial terms are straight on grey as well.
    if (model === 'root-polynomial-2' || model === 'root-polynomial-3') expectSound(outcome)
    else expectNoMatrix(model, outcome)
  }

  it('all patches grey', () => {
    fc.assert(
      fc.property(
        kind,
        objective,
        thousandths(300, 2000),
        fc.constantFrom(0, 1e-6, 1e-5, 1e-4),
        seed,
        greyChart,
      ),
      options,
    )
  })

  it('all patches grey, and noisy: what averages the noise of three channels is no match', () => {
    fc.assert(
      fc.property(
        kind,
        objective,
        thousandths(300, 2000),
        fc.constantFrom(1e-3, 3e-3, 1e-2),
        seed,
        greyChart,
      ),
      {
        ...options,
        examples: [
          ['auto', 'perceptual', [0.3, 0.588, 0.422], 1e-3, 833789],
          ['lift-gain-matrix', 'perceptual', [1.317, 0.31, 0.308], 1e-3, 581328],
          ['matrix', 'perceptual', [1.462, 0.31, 1.941], 1e-3, 872069],
        ],
      },
    )
  })

  it('two patches, or three', () => {
    fc.assert(
      fc.property(kind, objective, fc.array(light, { minLength: 2, maxLength: 3 }), (model, fit, seen) => {
        const outcome = attempt(model, seen, seen.toReversed(), fit)
        expectSound(outcome)
        // Three patches are as many as a matrix without lift has columns: that fits any target, and says so.
        if (outcome instanceof IsochipError || model !== 'matrix') expectNoMatrix(model, outcome)
        else expect(outcome.warnings.map((warning) => warning.code)).toContain('few-patches')
      }),
      options,
    )
  })

  it('colours on one line', () => {
    fc.assert(
      fc.property(kind, objective, light, light, seed, (model, fit, one, two, from) => {
        const random = seededRandom(from)
        const seen = names.map((): Vec3 => {
          const t = random()
          const between = (c: 0 | 1 | 2) => one[c] + t * (two[c] - one[c])
          return [between(0), between(1), between(2)]
        })
        const outcome = attempt(model, seen, aims, fit)
        if (model === 'root-polynomial-2' || model === 'root-polynomial-3') expectSound(outcome)
        else expectNoMatrix(model, outcome)
      }),
      options,
    )
  })

  it('everything equal', () => {
    fc.assert(
      fc.property(kind, objective, light, light, (model, fit, one, two) => {
        const same = (v: Vec3) => names.map(() => v)
        expectNoMatrix(model, attempt(model, same(one), same(two), fit))
      }),
      options,
    )
  })

  it('one channel dead', () => {
    fc.assert(
      fc.property(
        kind,
        objective,
        fc.array(light, { minLength: 24, maxLength: 24 }),
        fc.constantFrom(0, 1, 2),
        (model, fit, lights, dead) => {
          const seen = lights.map((v) => v.map((value, c) => (c === dead ? 0 : value)) as unknown as Vec3)
          const outcome = attempt(model, seen, lights, fit)
          // No gain of ours makes something of nothing.
          expect(outcome).toBeInstanceOf(IsochipError)
          expectSound(outcome)
        },
      ),
      options,
    )
  })
})

describe('light that is out of the ordinary', () => {
  const scene = fc.array(light, { minLength: 24, maxLength: 24 })

  // Negative in most channels: no gain or matrix of ours comes out with all gains positive.
  const noLinearKind: Vec3[] = [
    [0.186, 0.181, 0.5],
    [-0.294, 0.15, -0.16],
    [0.431, -0.08, -0.104],
    [-0.279, -0.235, -0.116],
    [-0.193, 0.451, 0.228],
    [-0.004, 0.002, 0.009],
    [0.314, -0.063, 0.061],
    [-0.245, 0.213, 0.132],
    [-0.043, -0.251, 0.598],
    [0.592, -0.052, -0.182],
    [0.528, -0.209, -0.153],
    [-0.26, 0.009, 0.596],
    [0.06, 0.003, 0.598],
    [-0.176, 0.063, 0.19],
    [-0.144, 0.007, -0.001],
    [0.005, -0.207, 0.206],
    [0.006, 0.321, -0.003],
    [0.329, -0.087, 0.486],
    [0.007, -0.249, 0.596],
    [0.004, -0.077, 0.555],
    [0.494, 0.425, -0.298],
    [0.599, -0.253, 0.319],
    [-0.176, 0.009, -0.297],
    [-0.214, 0.239, -0.203],
  ]

  // The correction of the curve that is tried here ends at a root-polynomial match under which no light comes out white.
  const noWhite: Vec3[] = [
    [-0.271, 0.596, 0.03],
    [0.249, 0.001, -0.297],
    [-0.001, 0.138, 0.231],
    [-0.056, 0.428, -0.2],
    [0.063, 0.529, 0.42],
    [-0.006, -0.004, -0.11],
    [0.542, 0.006, 0.516],
    [0.005, 0.009, 0.55],
    [0.265, -0.222, 0.05],
    [0.208, -0.21, 0.088],
    [0.021, -0.191, 0.185],
    [0.47, -0.078, 0.252],
    [-0.299, 0.31, -0.029],
    [-0.099, -0.001, -0.063],
    [0.339, 0.094, -0.007],
    [0.401, 0.58, 0.123],
    [-0.025, -0.3, 0.08],
    [-0.294, 0.592, 0.172],
    [0.597, -0.295, 0.542],
    [0.095, 0.499, -0.001],
    [-0.21, -0.074, 0.466],
    [-0.299, -0.094, 0.061],
    [-0.224, 0.505, 0],
    [0.577, -0.006, 0.004],
  ]

  it('below zero', () => {
    fc.assert(
      fc.property(
        kind,
        objective,
        fc.array(thousandths(-300, 600), { minLength: 24, maxLength: 24 }),
        (model, fit, seen) => {
          const outcome = attempt(model, seen, aims, fit)
          expectSound(outcome)
          expect(confidentlyWild(outcome)).toBe(false)
        },
      ),
      {
        ...options,
        examples: [
          ['auto', 'linear', noLinearKind],
          ['root-polynomial-2', 'perceptual', noWhite],
        ],
      },
    )
  })

  it('all below zero: no patch can serve', () => {
    fc.assert(
      fc.property(kind, fc.array(thousandths(-500, -1), { minLength: 24, maxLength: 24 }), (model, seen) => {
        const outcome = attempt(model, seen)
        expect(outcome).toBeInstanceOf(IsochipError)
        expect((outcome as IsochipError).code).toBe('too-few-patches')
      }),
      { ...options, numRuns: wholeTask ? 20 : 10 },
    )
  })

  it('a million times as much is the same match with a millionth of the gain', () => {
    fc.assert(
      fc.property(
        // Root-polynomial kinds take roots of light above an absolute level, and want light of about 1.
        fc.constantFrom<ModelKind>('gain', 'lift-gain', 'matrix', 'lift-gain-matrix'),
        objective,
        fc.constantFrom(1e6, 65535, 1e-6),
        seed,
        (model, fit, unit, from) => {
          const seen = noisy(
            aims.map(([r, g, b]): Vec3 => [0.9 * r + 0.1 * g, g, 0.05 * r + 0.8 * b]),
            0.003,
            from,
          )
          const one = attempt(model, seen, aims, fit) as FittedMatch
          const many = attempt(
            model,
            seen.map(([r, g, b]): Vec3 => [unit * r, unit * g, unit * b]),
            aims,
            fit,
          ) as FittedMatch
          expectSound(one)
          expectSound(many)
          expect(many.summary.after.mean / one.summary.after.mean).toBeCloseTo(1, 5)
          for (const c of [0, 1, 2] as const) {
            expect((unit * many.model.gain[c]) / one.model.gain[c]).toBeCloseTo(1, 5)
            for (const k of [0, 1, 2] as const) {
              expect(Math.abs(many.model.matrix[c][k] - one.model.matrix[c][k])).toBeLessThan(1e-4)
            }
          }
        },
      ),
      options,
    )
  })

  it('readings that have nothing to do with the target', () => {
    fc.assert(
      fc.property(kind, objective, scene, scene, (model, fit, seen, target) => {
        const outcome = attempt(model, seen, target, fit)
        expectSound(outcome)
        expect(confidentlyWild(outcome)).toBe(false)
      }),
      options,
    )
  })

  it('few patches and much noise', () => {
    fc.assert(
      fc.property(kind, objective, fc.integer({ min: 1, max: 10 }), seed, (model, fit, count, from) => {
        const outcome = attempt(model, noisy(aims.slice(0, count), 0.03, from), aims, fit)
        expectSound(outcome)
        expect(confidentlyWild(outcome)).toBe(false)
      }),
      { ...options, examples: [['auto', 'linear', 1, 819301]] },
    )
  })
})
