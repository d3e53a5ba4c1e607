import { builtinChart, type FittedMatch, matchCamera, resolveEncoding, type Vec3 } from '@isochip/core'
import { sensorNames } from '@isochip/synthetic'
import { describe, expect, it } from 'vitest'
import { seededRandom } from '../src/random.ts'
import { exactTarget } from './support/exactTarget.ts'
import { type Case, each, injections, type Lights, pick } from './support/injections.ts'
import { type Device, lightsSeen, working } from './support/lightsSeen.ts'
import { normalNoise } from './support/normalNoise.ts'

// Measured sensors (Jiang et al. 2013), the 2° observer, the 24 reflectances of ISO 17321-1 and CIE lights: what remains
// of a clean chart is metamerism. One cause is put in at a time, as large as it is on set (common practice, no source).

const chart = builtinChart('chart24')
const names = chart.patches.map(({ name }) => name)
const devices: readonly Device[] = [...sensorNames, 'observer']
const sourceLights = ['D65', 'A', 'D50', 'FL11', 'LED-B3'] as const

function matched({ lights, sd = 0 }: Case, target: Lights, normal: () => number): FittedMatch {
  const reading = 0.0005
  const all = Math.hypot(reading, sd)
  return matchCamera({
    chart,
    readings: {
      patches: lights.map(([r, g, b], i) => ({
        patch: names[i]!,
        rgb: [r + reading * normal(), g + reading * normal(), b + reading * normal()] as const,
        sd: [all, all, all] as const,
        pixels: 1,
      })),
    },
    encoding: resolveEncoding('linear'),
    target: exactTarget(names, target),
    working,
  })
}

describe('budget', { timeout: 120_000 }, () => {
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
        const { budget } = matched(
          inject(lights, random, normal),
          lightsSeen(chart, to, other),
          normal,
        ).diagnosis
        const { limit, or, ...shares } = budget!
        said.push(limit)
        expect(Object.values(shares).reduce((sum, share) => sum + share, 0)).toBeCloseTo(1, 9)
        for (const share of Object.values(shares)) expect(share).toBeGreaterThanOrEqual(0)
        expect(or ?? []).not.toContain(limit)
      }
      const right = said.filter((limit) => limit === cause).length
      expect(right, said.join(' ')).toBeGreaterThanOrEqual(22)
    })
  }

  it('an outlier is in the budget as it is in the printed mean', () => {
    const normal = normalNoise(3)
    const lights = lightsSeen(chart, 'sensor1', 'D65').map(
      (light, p): Vec3 => (p === 4 ? [0.9, 0.9, 0.9] : light),
    )
    const match = matched({ lights }, lightsSeen(chart, 'sensor2', 'D65'), normal)
    const own = match.patches[4]!.dE00.after
    const share = own / 24 / match.summary.after.mean
    expect(match.patches[4]!.weight).toBeLessThan(0.01)
    expect(share).toBeGreaterThan(0.3)
    expect(match.diagnosis.budget!.foreign).toBeGreaterThan(0.9 * share)
    expect(match.diagnosis.budget!.foreign).toBeLessThan(1.1 * share)
  })
})
