import {
  apply3,
  bootstrapIntervals,
  builtinChart,
  type Interval,
  type Intervals,
  invert3,
  matchCamera,
  resolveEncoding,
  resolvePrimaries,
  targetFromReference,
  type Vec3,
} from '@isochip/core'
import { describe, expect, it } from 'vitest'
import { wholeTask } from '../../../test/support/wholeTask.ts'
import { seededRandom } from '../src/random.ts'

const chart = builtinChart('chart24')
const working = resolvePrimaries('bt709')
const encoding = resolveEncoding('linear')
const target = targetFromReference(chart, 'C', working)
const names = chart.patches.map((patch) => patch.name)
const aims = names.map((name) => target.light.get(name)!)

const truth = {
  // A little light over the blacks: black below no light would be doubted, which takes time that is not asked about here.
  lift: [-0.004, -0.003, -0.002] as Vec3,
  gain: [1.2, 0.9, 1.4] as Vec3,
  matrix: [
    [1.1, -0.15, 0.05],
    [-0.05, 1.12, -0.07],
    [0.02, -0.2, 1.18],
  ] as const,
}
const inverse = invert3(truth.matrix)!
const seen = aims.map((light): Vec3 => {
  const level = apply3(inverse, light)
  const channel = (c: 0 | 1 | 2) => level[c] / truth.gain[c] - truth.lift[c]
  return [channel(0), channel(1), channel(2)]
})

/** Sensor noise: shot noise that grows with the light, and a little of a fixed level. */
function noisy(random: () => number): Vec3[] {
  const normal = () => Math.sqrt(-2 * Math.log(random())) * Math.cos(2 * Math.PI * random())
  const shot = (value: number) => value + normal() * Math.sqrt(2e-6 * Math.abs(value) + 1e-8)
  return seen.map(([r, g, b]): Vec3 => [shot(r), shot(g), shot(b)])
}

const list = ({ lift, gain, matrix }: Intervals): Interval[] => [...lift, ...gain, ...matrix.flat()]
const truths = [...truth.lift, ...truth.gain, ...truth.matrix.flat()]

function match(lights: readonly Vec3[]) {
  const readings = { patches: lights.map((rgb, i) => ({ patch: names[i]!, rgb })) }
  return matchCamera({ chart, readings, encoding, target, working }, { evenness: 'off', robust: false })
}

describe('95 % intervals', () => {
  it('contain the truth in 93 to 97 % of simulated fits', () => {
    const random = seededRandom(20)
    const rounds = wholeTask ? 1000 : 120
    let inside = 0
    for (let round = 0; round < rounds; round++) {
      const intervals = match(noisy(random)).diagnosis.intervals!
      inside += list(intervals).filter(({ low, high }, i) => low <= truths[i]! && truths[i]! <= high).length
    }
    // The share over all fifteen numbers. What 95 % means is the definition of the interval (no source needed).
    const share = inside / (rounds * truths.length)
    expect(share).toBeGreaterThan(0.93)
    expect(share).toBeLessThan(0.97)
  })

  it('agree with the bootstrap on clean data', () => {
    const lights = noisy(seededRandom(3))
    const analytic = list(match(lights).diagnosis.intervals!)
    const bootstrap = list(bootstrapIntervals(lights, aims, { count: 500 }))
    const ratios = analytic.map(({ standardError }, i) => bootstrap[i]!.standardError / standardError)
    const middle = ratios.sort((a, b) => a - b)[7]!
    // The bootstrap does not know of leverage: with 24 patches and four terms a channel it is short by about
    // √(1 − 4/24) = 0.91, and 500 draws tell a standard error to about 3 %.
    expect(middle).toBeGreaterThan(0.75)
    expect(middle).toBeLessThan(1.1)
    for (const ratio of ratios) {
      expect(ratio).toBeGreaterThan(0.5)
      expect(ratio).toBeLessThan(1.5)
    }
  })

  it('is the same for the same seed, another for another', () => {
    const one = bootstrapIntervals(seen, aims, { count: 20, seed: 5 })
    expect(bootstrapIntervals(seen, aims, { count: 20, seed: 5 })).toEqual(one)
    const lights = noisy(seededRandom(4))
    expect(bootstrapIntervals(lights, aims, { count: 20, seed: 5 })).not.toEqual(
      bootstrapIntervals(lights, aims, { count: 20, seed: 6 }),
    )
  })
})
