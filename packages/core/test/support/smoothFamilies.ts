import { materials, type Spectrum, wavelength } from '@isochip/synthetic'
import { seededRandom } from '../../src/random.ts'

/** Ways to make smooth reflectances that are on no chart; the numbers are invented. The same start, the same list. */
export const smoothFamilies: Readonly<Record<string, (start: number, count: number) => readonly Spectrum[]>> =
  {
    /** Skin, foliage, wood, cloth, paint, food. */
    materials: (start, count) => materials(start, count).map((material) => material.reflectance),
    /** One to four bands on a grey ground. */
    bands: family((r) => {
      const ground = r.between(0.02, 0.3)
      const parts = r.list(r.whole(1, 4), () => [r.between(390, 720), r.between(20, 80), r.between(0.1, 0.7)])
      return (nm) =>
        ground + parts.reduce((sum, [at, width, height]) => sum + height! * bell(nm, at!, width!), 0)
    }),
    /** One to three steps, up or down. */
    steps: family((r) => {
      const ground = r.between(0.02, 0.6)
      const parts = r.list(r.whole(1, 3), () => [r.between(420, 680), r.between(8, 40), r.between(-0.5, 0.7)])
      return (nm) =>
        ground + parts.reduce((sum, [at, width, height]) => sum + height! * step(nm, at!, width!), 0)
    }),
    /** Seven cosines over the spectrum, squeezed between 0 and 1. */
    waves: family((r) => {
      const size = r.between(0.6, 2)
      const level = r.between(-3, 1)
      const parts = r.list(7, (k) => (r.normal() * size) / (1 + 0.5 * k))
      const phase = (nm: number) => (Math.PI * (nm - 380)) / 400
      return (nm) =>
        1 / (1 + Math.exp(-level - parts.reduce((sum, a, k) => sum + a * Math.cos((k + 1) * phase(nm)), 0)))
    }),
    /** One to three absorbers in a white layer without end (Kubelka and Munk). */
    dyes: family((r) => {
      const parts = r.list(r.whole(1, 3), () => [
        r.between(400, 680),
        r.between(18, 60),
        10 ** r.between(-1, 0.7),
      ])
      const ground = 10 ** r.between(-2.5, -0.5)
      return (nm) => {
        const k = ground + parts.reduce((sum, [at, width, depth]) => sum + depth! * bell(nm, at!, width!), 0)
        return 1 + k - Math.sqrt(k * k + 2 * k)
      }
    }),
    /** A cubic B-spline with four to eight random knots. */
    splines: family((r) => {
      const knots = r.whole(4, 8)
      const level = r.between(0.1, 0.9)
      const k = r.list(knots + 3, () => level * r.between(0, 1))
      return (nm) => {
        const x = ((nm - 380) / 400) * (knots - 1)
        const i = Math.min(knots - 1, Math.floor(x))
        const t = x - i
        const weights = [
          (1 - t) ** 3,
          3 * t ** 3 - 6 * t * t + 4,
          -3 * t ** 3 + 3 * t * t + 3 * t + 1,
          t ** 3,
        ]
        return weights.reduce((sum, w, j) => sum + (w * k[i + j]!) / 6, 0)
      }
    }),
  }

const bell = (nm: number, centre: number, width: number) => Math.exp(-0.5 * ((nm - centre) / width) ** 2)
const step = (nm: number, centre: number, width: number) => 1 / (1 + Math.exp((centre - nm) / width))

interface Draw {
  between(low: number, high: number): number
  whole(low: number, high: number): number
  normal(): number
  list<T>(length: number, item: (index: number) => T): T[]
}

function family(reflectanceOf: (draw: Draw) => (nm: number) => number) {
  return (start: number, count: number): readonly Spectrum[] => {
    const random = seededRandom(start)
    const between = (low: number, high: number) => low + (high - low) * random()
    const draw: Draw = {
      between,
      whole: (low, high) => Math.floor(between(low, high + 1)),
      normal: () => Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random()),
      list: (length, item) => Array.from({ length }, (_, i) => item(i)),
    }
    return Array.from({ length: count }, () => {
      const at = reflectanceOf(draw)
      return Float64Array.from({ length: 81 }, (_, i) => Math.min(0.98, Math.max(0.01, at(wavelength(i)))))
    })
  }
}
