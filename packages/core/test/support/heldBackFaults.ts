import { type BudgetPart, builtinChart, resolveTransfer, type Vec3 } from '@isochip/core'
import { placeOnChart } from '../../src/chart/placeOnChart.ts'
import { type Case, each, type Lights, pick } from './injections.ts'

const chart = builtinChart('chart24')
const places = chart.patches.map((_, i): readonly [number, number] => placeOnChart(chart, i))
const [bt709, srgb, hlg] = [resolveTransfer('bt709'), resolveTransfer('srgb'), resolveTransfer('hlg')]
const white = (lights: Lights, channel: number) => Math.max(...lights.map((light) => light[channel]!))
const across = (lights: Lights, factor: (u: number, v: number) => number): Case =>
  each(lights, (x, _, p) => x * factor(...places[p]!))
const only = (lights: Lights, at: readonly number[], to: (light: Vec3, p: number) => Vec3): Case => ({
  lights: lights.map((light, p) => (at.includes(p) ? to(light, p) : light)),
})

/**
 * Other faults than those of `injections`, by which thresholds were set: nothing was set by these. As large as they are on set
 * (common practice, no source).
 */
export const heldBackFaults: Readonly<
  Record<string, readonly [BudgetPart, (lights: Lights, random: () => number, normal: () => number) => Case]>
> = {
  "a picture's S curve": [
    'curve',
    (lights, random) => {
      const a = 0.3 + 0.4 * random()
      return each(lights, (x) => {
        const v = srgb.encode(Math.max(x, 0), 0)
        return srgb.decode(v - (a * Math.sin(2 * Math.PI * v)) / (2 * Math.PI), 0)
      })
    },
  ],
  'a power of 0.9 to 0.8 in one channel': [
    'curve',
    (lights, random) => {
      const [channel, power] = [pick([0, 1, 2], random), 0.8 + 0.1 * random()]
      return each(lights, (x, c) => (c === channel ? Math.max(x, 1e-6) ** power : x))
    },
  ],
  'sRGB read as BT.709': ['curve', (lights) => each(lights, (x) => bt709.decode(srgb.encode(x, 0), 0))],
  'HLG read as BT.709': ['curve', (lights) => each(lights, (x) => bt709.decode(hlg.encode(x, 0), 0))],
  'a soft shoulder': [
    'curve',
    (lights, random) => {
      const bend = 0.25 + 0.35 * random()
      return each(lights, (x) => (x * (1 + bend)) / (1 + bend * x))
    },
  ],
  'corners darker by 0.3 to 0.8 stop': [
    'unevenness',
    (lights, random) => {
      const most = 0.3 + 0.5 * random()
      return across(lights, (u, v) => 2 ** ((-most * (u * u + v * v)) / 2))
    },
  ],
  'a lamp at one side, by the square of its distance': [
    'unevenness',
    (lights, random) => {
      const [away, turn] = [5 + 4 * random(), 2 * Math.PI * random()]
      const level = (u: number, v: number) => {
        const [x, y] = [u - away * Math.cos(turn), v - away * Math.sin(turn)]
        return (away * away) / (x * x + y * y)
      }
      return across(lights, level)
    },
  ],
  'a veil from one corner, 3 to 8 % of white': [
    'unevenness',
    (lights, random) => {
      const [most, a, b] = [0.03 + 0.05 * random(), pick([-1, 1], random), pick([-1, 1], random)]
      return each(lights, (x, c, p) => {
        const [u, v] = places[p]!
        return x + most * white(lights, c) * Math.max((a * u + b * v) / 2, 0) ** 2
      })
    },
  ],
  'green clipped at 60 to 80 %, not flagged': [
    'clipping',
    (lights, random) => {
      const top = (0.6 + 0.2 * random()) * white(lights, 1)
      return each(lights, (x, c) => (c === 1 ? Math.min(x, top) : x))
    },
  ],
  'two channels clipped at their own levels, 65 to 85 %': [
    'clipping',
    (lights, random) => {
      const free = pick([0, 1, 2], random)
      const tops = [0, 1, 2].map((c) => (c === free ? 9 : (0.65 + 0.2 * random()) * white(lights, c)))
      return each(lights, (x, c) => Math.min(x, tops[c]!))
    },
  ],
  'noise of 1 to 2 % of each reading, stated at white': [
    'noise',
    (lights, random, normal) => {
      const sd = 0.01 + 0.01 * random()
      return { ...each(lights, (x) => x + sd * Math.sqrt(Math.max(x, 0.02)) * normal()), sd: 0.7 * sd }
    },
  ],
  'a patch in a shadow of 40 to 70 %': [
    'foreign',
    (lights, random) => {
      const [at, left] = [Math.floor(random() * 23), 0.3 + 0.3 * random()]
      return only(lights, [at], ([r, g, b]) => [left * r, left * g, left * b])
    },
  ],
  'tape on two patches, white or blue': [
    'foreign',
    (lights, random) => {
      const [one, other] = [Math.floor(random() * 12), 12 + Math.floor(random() * 12)]
      const tape: Vec3 = pick([[0.7, 0.7, 0.66] as const, [0.05, 0.16, 0.42] as const], random)
      return only(lights, [one, other], () => tape)
    },
  ],
  'a reading half on the next patch': [
    'foreign',
    (lights, random) => {
      const at = Math.floor(random() * 18)
      const next = at % 6 === 5 ? at - 1 : at + 1
      return only(lights, [at], ([r, g, b]) => {
        const [x, y, z] = lights[next]!
        return [(r + x) / 2, (g + y) / 2, (b + z) / 2]
      })
    },
  ],
}
