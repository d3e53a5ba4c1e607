import { exp, pow } from '@isochip/core'
import { type Random, random } from '../random.ts'
import { type Spectrum, sampled } from './grid.ts'

export type MaterialKind = 'skin' | 'foliage' | 'wood' | 'cloth' | 'paint' | 'food'

/** A smooth reflectance that is on no chart. */
export interface Material {
  readonly kind: MaterialKind
  readonly reflectance: Spectrum
}

const bell = (nm: number, centre: number, width: number) => exp(-(((nm - centre) / width) ** 2))
const step = (nm: number, centre: number, width: number) => 1 / (1 + exp((centre - nm) / width))

/** Melanin darkens towards the blue; the double dip of oxygenated blood lies at 542 and 577 nm. */
function skin(r: Random): (nm: number) => number {
  const melanin = r.between(0.2, 1.7)
  const blood = r.between(0.1, 0.28)
  const scatter = r.between(0.62, 0.72)
  return (nm) => {
    const pigment = melanin * pow(nm / 500, -3.3)
    const dips = bell(nm, 542, 17) + 0.95 * bell(nm, 577, 13) + 1.1 * bell(nm, 418, 28)
    return scatter * exp(-pigment * 0.75 - blood * dips - 0.25 * (1 - step(nm, 590, 12)))
  }
}

/** Chlorophyll absorbs blue and, up to the red edge near 700 nm, red; old leaves lose it. */
function foliage(r: Random): (nm: number) => number {
  const base = r.between(0.025, 0.07)
  const green = r.between(0.06, 0.2)
  const autumn = pow(r.between(0, 1), 3) * 0.25
  const edge = r.between(0.25, 0.45)
  return (nm) =>
    base +
    green * bell(nm, 552, 42) +
    0.4 * green * step(nm, 570, 20) * (1 - step(nm, 660, 12)) +
    autumn * step(nm, 560, 18) +
    edge * step(nm, 708, 11)
}

function wood(r: Random): (nm: number) => number {
  const blue = r.between(0.03, 0.25)
  const red = blue + r.between(0.08, 0.4)
  const middle = r.between(540, 610)
  const width = r.between(38, 70)
  return (nm) => blue + (red - blue) * step(nm, middle, width)
}

/** A dye absorbs one or two broad bands out of a white or grey ground. */
function cloth(r: Random): (nm: number) => number {
  const ground = r.between(0.25, 0.85)
  const bands = Array.from({ length: r.whole(1, 2) }, () => ({
    centre: r.between(400, 680),
    width: r.between(35, 95),
    depth: r.between(0.3, 2.6),
  }))
  return (nm) =>
    0.02 + ground * exp(-bands.reduce((sum, b) => sum + b.depth * bell(nm, b.centre, b.width), 0))
}

/** Pigments: a step up (yellows to reds), a band (greens, blues) or both ends (purples). */
function paint(r: Random): (nm: number) => number {
  const floor = r.between(0.03, 0.12)
  const height = r.between(0.2, 0.75)
  const kind = r.whole(0, 3)
  const edge = kind === 0 ? r.between(490, 620) : r.between(430, 570)
  const width = r.between(9, 24)
  const tail = r.between(0, 0.25)
  return (nm) => {
    if (kind === 0) return floor + height * step(nm, edge, width)
    if (kind === 1) return floor + height * bell(nm, edge, 2.2 * width + 22) + tail * step(nm, 690, 12)
    if (kind === 2)
      return floor + height * (1 - step(nm, edge - 20, width) + 0.8 * step(nm, edge + 90, width)) * 0.7
    return floor + height * (0.75 + 0.25 * step(nm, edge, 40))
  }
}

/** Carotenoids (egg, lemon, carrot), anthocyanins (beetroot, berries), browned crusts. */
function food(r: Random): (nm: number) => number {
  const kind = r.whole(0, 2)
  const high = r.between(0.35, 0.75)
  const edge = r.between(485, 565)
  const width = r.between(12, 22)
  const shade = r.between(0.3, 1)
  return (nm) => {
    if (kind === 0) return 0.05 + high * step(nm, edge, width)
    if (kind === 1)
      return 0.03 + shade * (0.09 * bell(nm, 430, 40) + 0.5 * step(nm, 615 + 0.3 * (edge - 485), 16))
    return 0.04 + shade * 0.45 * step(nm, 590, 48)
  }
}

const families: readonly (readonly [MaterialKind, (r: Random) => (nm: number) => number])[] = [
  ['skin', skin],
  ['foliage', foliage],
  ['wood', wood],
  ['cloth', cloth],
  ['paint', paint],
  ['food', food],
]

/**
 * So many smooth reflectances that are on no chart, the six families in turn: to judge a match by what the chart does
 * not show. Their forms follow what is known of such surfaces; the numbers are invented. The same start number gives
 * the same materials.
 */
export function materials(seed: number, count: number): readonly Material[] {
  const r = random(seed)
  return Array.from({ length: count }, (_, i) => {
    const [kind, family] = families[i % families.length]!
    const at = family(r)
    return { kind, reflectance: sampled((nm) => Math.min(0.98, Math.max(0.01, at(nm)))) }
  })
}
