import { type BudgetPart, builtinChart, resolveTransfer, type Vec3 } from '@isochip/core'
import { placeOnChart } from '../../src/chart/placeOnChart.ts'

const places = builtinChart('chart24').patches.map((_, i) => placeOnChart(builtinChart('chart24'), i))

export type Lights = readonly Vec3[]
/** A chart's lights with a fault put in, and the noise that is stated with them. */
export interface Case {
  readonly lights: Lights
  readonly sd?: number
}
type Inject = (lights: Lights, random: () => number, normal: () => number) => Case

/** Each value changed, with its channel and patch. */
export const each = (
  lights: Lights,
  to: (value: number, channel: number, patch: number) => number,
): Case => ({
  lights: lights.map(([r, g, b], p): Vec3 => [to(r, 0, p), to(g, 1, p), to(b, 2, p)]),
})
const topOf = (lights: Lights, channel?: number) =>
  Math.max(...lights.map((light) => (channel === undefined ? Math.max(...light) : light[channel]!)))
export const pick = <T>(list: readonly T[], random: () => number) => list[Math.floor(random() * list.length)]!
const [srgb, bt709] = [resolveTransfer('srgb'), resolveTransfer('bt709')]

/** By name: the cause that is put into the lights of chart24, as large as it is on set (common practice, no source). */
export const injections: Readonly<Record<string, readonly [BudgetPart, Inject]>> = {
  'nothing: the sensors alone': ['spectral', (lights) => ({ lights })],
  'a power of 0.8 to 1.25': [
    'curve',
    (lights, random) => {
      const power = pick([0.8, 0.85, 0.9, 1.1, 1.15, 1.25], random)
      return each(lights, (x) => Math.max(x, 1e-6) ** power)
    },
  ],
  'BT.709 read as sRGB': ['curve', (lights) => each(lights, (x) => srgb.decode(bt709.encode(x, 0), 0))],
  'a knee': ['curve', (lights) => each(lights, (x) => (x > 0.35 ? 0.35 + 0.6 * (x - 0.35) : x))],
  'a slope of light of 0.3 to 0.7 stop': [
    'unevenness',
    (lights, random) => {
      const [size, turn] = [0.15 + 0.2 * random(), 2 * Math.PI * random()]
      return each(lights, (x, _, p) => {
        const [u, v] = places[p]!
        return x * 2 ** (size * (Math.cos(turn) * u + Math.sin(turn) * v))
      })
    },
  ],
  'veiling glare on one side, 2 to 6 % of white': [
    'unevenness',
    (lights, random) => {
      const [most, side, white] = [0.02 + 0.04 * random(), Math.floor(random() * 4), topOf(lights, 1)]
      return each(lights, (x, _, p) => {
        const [u, v] = places[p]!
        return x + most * white * Math.max([u, -u, v, -v][side]!, 0)
      })
    },
  ],
  'clipped at 65 to 85 % of white, not flagged': [
    'clipping',
    (lights, random) => {
      const top = (0.65 + 0.2 * random()) * topOf(lights, 1)
      return each(lights, (x) => Math.min(x, top))
    },
  ],
  'red or blue clipped at 60 to 80 %, not flagged': [
    'clipping',
    (lights, random) => {
      const channel = pick([0, 2], random)
      const top = (0.6 + 0.2 * random()) * topOf(lights, channel)
      return each(lights, (x, c) => (c === channel ? Math.min(x, top) : x))
    },
  ],
  'noise of 0.6 to 1.6 %, stated': [
    'noise',
    (lights, random, normal) => {
      const sd = 0.006 + 0.01 * random()
      return { ...each(lights, (x) => x + sd * normal()), sd }
    },
  ],
  'two patches swapped': [
    'foreign',
    (lights, random) => {
      const one = Math.floor(random() * lights.length)
      const other = (one + 1 + Math.floor(random() * (lights.length - 1))) % lights.length
      const swapped = [...lights]
      swapped[one] = lights[other]!
      swapped[other] = lights[one]!
      return { lights: swapped }
    },
  ],
  'a patch under glare of 0.1 to 0.4': [
    'foreign',
    (lights, random) => {
      const [at, glare] = [Math.floor(random() * lights.length), 0.1 + 0.3 * random()]
      return each(lights, (x, _, p) => (p === at ? x + glare : x))
    },
  ],
  'a thumb on a colour': [
    'foreign',
    (lights, random) => {
      const at = Math.floor(random() * 18)
      return { lights: lights.map((light, p): Vec3 => (p === at ? [0.25, 0.15, 0.1] : light)) }
    },
  ],
}
