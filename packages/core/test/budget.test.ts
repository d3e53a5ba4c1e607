import {
  builtinChart,
  matchCamera,
  type Readings,
  type ResidualBudget,
  resolveEncoding,
  type Vec3,
} from '@isochip/core'
import { sensorNames } from '@isochip/synthetic'
import { describe, expect, it } from 'vitest'
import { viewing } from '../src/colour/viewing.ts'
import { residualBudget } from '../src/diagnose/budget.ts'
import { identity3 } from '../src/linear/mat3.ts'
import { matchProblem } from '../src/problem/matchProblem.ts'
import { seededRandom } from '../src/random.ts'
import { prepareSamples } from '../src/samples/prepareSamples.ts'
import { chooseKind } from '../src/select/chooseKind.ts'
import { exactTarget } from './support/exactTarget.ts'
import { heldBackFaults } from './support/heldBackFaults.ts'
import { type Case, each, injections, type Lights, pick } from './support/injections.ts'
import { type Device, lightsSeen, working } from './support/lightsSeen.ts'
import { normalNoise } from './support/normalNoise.ts'

// Measured sensors (Jiang et al. 2013), the 2° observer, the 24 reflectances of ISO 17321-1 and CIE lights: what remains
// of a clean chart is metamerism. One cause is put in at a time, as large as it is on set (common practice, no source).

const chart = builtinChart('chart24')
const names = chart.patches.map(({ name }) => name)
const devices: readonly Device[] = [...sensorNames, 'observer']
const sourceLights = ['D65', 'A', 'D50', 'FL11', 'LED-B3'] as const

const encoding = resolveEncoding('linear')

function readingsOf({ lights, sd = 0 }: Case, normal: () => number): Readings {
  const reading = 0.0005
  const all = Math.hypot(reading, sd)
  return {
    patches: lights.map(([r, g, b], i) => ({
      patch: names[i]!,
      rgb: [r + reading * normal(), g + reading * normal(), b + reading * normal()] as const,
      sd: [all, all, all] as const,
      pixels: 1,
    })),
  }
}

/** The budget as `matchCamera` has it, without its doubt of the encoding, which takes long where something is wrong. */
function budgetOf(readings: Readings, target: Lights): ResidualBudget {
  const { samples } = prepareSamples(chart, readings, encoding, exactTarget(names, target), {})
  const measure = {
    declared: identity3,
    viewing: viewing(working, 'scene'),
    objective: 'perceptual',
  } as const
  const { fit, problem } = chooseKind('lift-gain-matrix', matchProblem(samples, measure), true)
  const { weight } = problem.samples
  return residualBudget(fit, problem, new Set([...weight.keys()].filter((p) => weight[p]! < 1)))!
}

describe('budget', () => {
  for (const [what, [cause, inject]] of Object.entries(injections)) {
    it(`${what}: ${cause}, nine times of ten of 24, and the parts add up to the mean`, () => {
      const random = seededRandom(what.length)
      const normal = normalNoise(what.length + 1)
      const said: string[] = []
      for (let round = 0; round < 24; round++) {
        const from = pick(devices, random)
        const to = pick(
          devices.filter((device) => device !== from),
          random,
        )
        const light = pick(sourceLights, random)
        const other = random() < 0.5 ? light : pick(['D65', 'A'] as const, random)
        const gains = [0, 1, 2].map(() => 2 ** (random() - 0.7))
        const { lights } = each(lightsSeen(chart, from, light), (x, c) => gains[c]! * x)
        const readings = readingsOf(inject(lights, random, normal), normal)
        const { limit, or, ...shares } = budgetOf(readings, lightsSeen(chart, to, other))
        said.push(limit)
        expect(Object.values(shares).reduce((sum, share) => sum + share, 0)).toBeCloseTo(1, 9)
        for (const share of Object.values(shares)) expect(share).toBeGreaterThanOrEqual(0)
        expect(or ?? []).not.toContain(limit)
      }
      const right = said.filter((limit) => limit === cause).length
      expect(right, said.join(' ')).toBeGreaterThanOrEqual(22)
    })
  }

  it('other faults than those that anything was set by: nine times of ten of 112', () => {
    const random = seededRandom(41)
    const normal = normalNoise(42)
    const wrong: string[] = []
    let cases = 0
    for (const [what, [cause, inject]] of Object.entries(heldBackFaults)) {
      for (let round = 0; round < 8; round++) {
        const from = pick(devices, random)
        const to = pick(
          devices.filter((device) => device !== from),
          random,
        )
        const light = pick(sourceLights, random)
        const target = lightsSeen(chart, to, random() < 0.5 ? light : pick(['D65', 'A'] as const, random))
        const made = inject(lightsSeen(chart, from, light), random, normal)
        const { limit } = budgetOf(readingsOf(made, normal), target)
        cases++
        if (limit !== cause) wrong.push(`${what}: ${limit}`)
      }
    }
    expect(cases).toBe(112)
    expect(wrong.length, wrong.join('; ')).toBeLessThanOrEqual(11)
  })

  it('white that clipped in green alone, by a third, is no foreign patch: 24 cases, 22 at least', () => {
    const [random, normal] = [seededRandom(31), normalNoise(32)]
    const [, inject] = heldBackFaults['green clipped at 60 to 80 %, not flagged']!
    const limits = Array.from({ length: 24 }, () => {
      const from = pick(devices, random)
      const to = pick(
        devices.filter((device) => device !== from),
        random,
      )
      const light = pick(sourceLights, random)
      const made = inject(lightsSeen(chart, from, light), random, normal)
      return budgetOf(readingsOf(made, normal), lightsSeen(chart, to, light)).limit
    })
    expect(limits.filter((limit) => limit === 'clipping').length, limits.join()).toBeGreaterThanOrEqual(22)
  })

  // docs/method.md: noise limits where it is a quarter of the mean and a part of it that can be seen, ΔE00 0.3.
  it('noise is what limits where there is much of it and it can be seen', () => {
    const target = lightsSeen(chart, 'sensor2', 'D65')
    const limits = [0.0005, 0.003].map((sd) => {
      const normal = normalNoise(5)
      const { lights } = each(lightsSeen(chart, 'sensor1', 'D65'), (x) => x + sd * normal())
      const readings = readingsOf({ lights, sd }, normal)
      const { mean } = matchCamera({ chart, readings, encoding, target: exactTarget(names, target), working })
        .summary.after
      const { limit, noise } = budgetOf(readings, target)
      expect(noise).toBeGreaterThan(0.25)
      return { limit, seen: noise * mean >= 0.3 }
    })
    expect(limits).toEqual([
      { limit: 'spectral', seen: false },
      { limit: 'noise', seen: true },
    ])
  })

  it('an outlier is in the budget as it is in the printed mean', () => {
    const normal = normalNoise(3)
    const lights = lightsSeen(chart, 'sensor1', 'D65').map(
      (light, p): Vec3 => (p === 4 ? [0.9, 0.9, 0.9] : light),
    )
    const readings = readingsOf({ lights }, normal)
    const target = lightsSeen(chart, 'sensor2', 'D65')
    const match = matchCamera({ chart, readings, encoding, target: exactTarget(names, target), working })
    expect(match.diagnosis.budget).toEqual(budgetOf(readings, target))
    const own = match.patches[4]!.dE00.after
    const share = own / 24 / match.summary.after.mean
    expect(match.patches[4]!.weight).toBeLessThan(0.01)
    expect(share).toBeGreaterThan(0.3)
    expect(match.diagnosis.budget!.foreign).toBeGreaterThan(0.9 * share)
    expect(match.diagnosis.budget!.foreign).toBeLessThan(1.1 * share)
  })
})
