import { hypot, type Mat3 } from '@isochip/core'
import { fitHomography } from '../../geometry/fitHomography.ts'
import { onRow, type Point, project } from '../../geometry/homography.ts'
import { constants } from '../constants.ts'
import type { Blobs } from './blobs.ts'
import { type Constellation, seenFrom } from './constellation.ts'
import type { Figure } from './figure.ts'
import { likelyColours } from './likelyColours.ts'

/** A place where figures of the picture stand to each other as the regions of a chart do. */
export interface ConstellationPlace {
  /** From the chart's own coordinates to working pixels. */
  readonly map: Mat3
  /** Regions at whose place there is a figure of their size. */
  readonly matched: number
}

/** An affine map: x·a + y·b + c, x·d + y·e + f. One place of memory for the ten thousands that are tried. */
type Affine = Float64Array

/**
 * Places of a chart by the geometry of its regions alone, those that match most first. Two neighbouring figures of the picture
 * and two neighbouring regions give an affine map, since the moments of one pair are known and the vector to the other tells the
 * turn; it is kept where the other neighbours are where it has them, and grown from there to the whole chart with a perspective
 * (a sample consensus: M. A. Fischler, R. C. Bolles, Communications of the ACM 24, 1981).
 */
export function constellationPlaces(
  blobs: Blobs,
  chart: Constellation,
  budget: { left: number },
): readonly ConstellationPlace[] {
  const { anchors, neighbours: count, reach, areaFactor, enough, afterwards, most, cost } = constants.regions
  const places: ConstellationPlace[] = []
  const known = new Set<string>()
  const taken = new Uint8Array(blobs.list.length)
  // With a chart found, a few more are tried: there may be another one, and its rivals.
  let further = Number.POSITIVE_INFINITY
  const room: Room = { map: new Float64Array(6), found: new Int32Array(count) }
  for (const anchor of anchorOrder(blobs.list.length, anchors)) {
    if (taken[anchor] === 1) continue
    if (budget.left <= 0 || further-- <= 0) break
    budget.left -= cost.anchor
    for (const other of nearbyOf(blobs, anchor, count, reach, areaFactor)) {
      let pair = -1
      for (const near of likelyMatches(blobs, chart, anchor, other, room)) {
        if (taken[anchor] === 1 && near.pair !== pair) break
        pair = near.pair
        budget.left -= cost.grown
        const place = grown(blobs, chart, near, known)
        if (place === undefined) continue
        places.push(place.place)
        if (place.place.matched < enough * chart.figures.length) continue
        for (const k of place.blobs) taken[k] = 1
        further = Math.min(further, afterwards)
      }
      if (taken[anchor] === 1) break
    }
  }
  places.sort((a, b) => b.matched - a.matched)
  return places.slice(0, most)
}

interface Room {
  readonly map: Affine
  readonly found: Int32Array
}

/** Ways that two figures may be two neighbouring regions, in the order of the chart's pairs. */
function likelyMatches(
  blobs: Blobs,
  chart: Constellation,
  anchor: number,
  other: number,
  room: Room,
): (Matches & { readonly pair: number })[] {
  const { pairLength } = constants.regions
  const { pairs, figures } = chart
  const [one, two] = [blobs.list[anchor]!, blobs.list[other]!]
  const [x, y] = seenFrom(one, two)
  const length = hypot(x, y)
  const likely: (Matches & { readonly pair: number })[] = []
  for (let i = firstPair(chart, length / pairLength); i < pairs.length; i++) {
    const { from, to, x: px, y: py, length: own } = pairs[i]!
    if (own > length * pairLength) break
    // The neighbour has to be of its region's size as well.
    if (!sizesAgree(one, two, figures[from]!, figures[to]!)) continue
    for (const mirror of chart.symmetric ? unmirrored : mirrors) {
      affineOf(one, figures[from]!, x, y, mirror * px, py, mirror, room.map)
      const near = nearbyMatches(blobs, chart, from, anchor, room)
      if (near !== undefined && likelyColours(blobs, chart, near)) likely.push({ ...near, pair: i })
    }
  }
  return likely
}

const unmirrored = [1] as const
const mirrors = [1, -1] as const

function sizesAgree(one: Figure, two: Figure, from: Figure, to: Figure): boolean {
  const { sizeFactor } = constants.regions
  const zoom = one.area / from.area
  const ratio = (zoom * to.area) / two.area
  return !(ratio > sizeFactor || ratio * sizeFactor < 1)
}

/**
 * The blobs, of which one of a chart's many is enough, in an order that soon comes to all sizes: by steps of the golden section
 * of their number.
 */
function anchorOrder(count: number, most: number): number[] {
  const order = new Set<number>()
  const golden = (Math.sqrt(5) - 1) / 2
  for (let k = 0; order.size < Math.min(count, most) && k < 4 * most; k++)
    order.add(Math.floor(((k * golden) % 1) * count))
  return [...order]
}

/** The nearest blobs of a like size. */
function nearbyOf({ list }: Blobs, anchor: number, count: number, reach: number, factor: number): number[] {
  const { centre, area } = list[anchor]!
  const far = reach * Math.sqrt(area)
  const some: { readonly k: number; readonly distance: number }[] = []
  list.forEach((other, k) => {
    if (k === anchor || other.area > factor * area || area > factor * other.area) return
    const distance = hypot(other.centre[0] - centre[0], other.centre[1] - centre[1])
    if (distance < far) some.push({ k, distance })
  })
  return some
    .sort((a, b) => a.distance - b.distance)
    .slice(0, count)
    .map(({ k }) => k)
}

/** The first pair that is not shorter. */
function firstPair({ pairs }: Constellation, length: number): number {
  let [low, high] = [0, pairs.length]
  while (low < high) {
    const middle = (low + high) >> 1
    if (pairs[middle]!.length < length) low = middle + 1
    else high = middle
  }
  return low
}

/** Takes a region onto a figure, so that the vector to its neighbour comes to lie along the one seen. */
function affineOf(
  figure: Figure,
  region: Figure,
  sx: number,
  sy: number,
  px: number,
  py: number,
  mirror: number,
  out: Affine,
): void {
  const scale = 1 / (length2(px, py) * length2(sx, sy))
  const cos = (px * sx + py * sy) * scale
  const sin = (px * sy - py * sx) * scale
  const { whiten, centre } = region
  const { spread } = figure
  // spread · turn · mirror · whiten
  const m00 = mirror * whiten[0]
  const m01 = mirror * whiten[1]
  const t00 = cos * m00 - sin * whiten[1]
  const t01 = cos * m01 - sin * whiten[2]
  const t10 = sin * m00 + cos * whiten[1]
  const t11 = sin * m01 + cos * whiten[2]
  out[0] = spread[0] * t00 + spread[1] * t10
  out[1] = spread[0] * t01 + spread[1] * t11
  out[2] = figure.centre[0] - out[0] * centre[0] - out[1] * centre[1]
  out[3] = spread[1] * t00 + spread[2] * t10
  out[4] = spread[1] * t01 + spread[2] * t11
  out[5] = figure.centre[1] - out[3] * centre[0] - out[4] * centre[1]
}

/** Of vectors that are neither tiny nor huge: `hypot` is for all, and takes several times as long. */
const length2 = (x: number, y: number) => Math.sqrt(x * x + y * y)

interface Matches {
  readonly from: Point[]
  readonly to: Point[]
  readonly regions: number[]
  readonly blobs: number[]
}

/**
 * The neighbours of a region that are where a map has them; `undefined` where they are too few.
 *
 * @param room for a figure for each neighbour: nothing is made for the many maps that come to nothing
 */
function nearbyMatches(
  blobs: Blobs,
  { figures, neighbours, near: places }: Constellation,
  region: number,
  anchor: number,
  { map, found: room }: Room,
): Matches | undefined {
  const { nearShare, nearReach, nearDrift, sizeFactor } = constants.regions
  const a = map[0]!
  const b = map[1]!
  const d = map[3]!
  const e = map[4]!
  const zoom = Math.abs(a * e - b * d)
  const c = map[2]!
  const f = map[5]!
  const near = neighbours[region]!
  const place = places[region]!
  const mostMissed = near.length - Math.ceil(nearShare * near.length)
  const here = blobs.list[anchor]!.centre
  let missed = 0
  for (let i = 0, at = 0; i < near.length; i++, at += 3) {
    const area = place[at + 2]!
    const x = a * place[at]! + b * place[at + 1]! + c
    const y = d * place[at]! + e * place[at + 1]! + f
    const size = Math.sqrt(zoom * area)
    const away = length2(x - here[0], y - here[1])
    const found = blobs.nearest(x, y, nearReach * size + nearDrift * away, zoom * area, sizeFactor)
    room[i] = found
    if (found < 0 && ++missed > mostMissed) return undefined
  }
  const matches: Matches = {
    from: [figures[region]!.centre],
    to: [here],
    regions: [region],
    blobs: [anchor],
  }
  for (let i = 0; i < near.length; i++) {
    const found = room[i]!
    if (found < 0) continue
    matches.from.push(figures[near[i]!]!.centre)
    matches.to.push(blobs.list[found]!.centre)
    matches.regions.push(near[i]!)
    matches.blobs.push(found)
  }
  return matches
}

/** From a few matches to the whole chart, with a perspective. */
function grown(
  blobs: Blobs,
  constellation: Constellation,
  start: Matches,
  known: Set<string>,
): { readonly place: ConstellationPlace; readonly blobs: readonly number[] } | undefined {
  const { rounds, grownReach, grownFactor, fewest, fewestShare, firstShare, samePlace } = constants.regions
  const { figures } = constellation
  const atFirst = Math.max(5, firstShare * figures.length)
  const [width, height] = constellation.chart.regions.size
  let matches = start
  let map = fitHomography(matches.from, matches.to)
  for (let round = 0; round < rounds; round++) {
    if (map === undefined) return undefined
    const next: Matches = { from: [], to: [], regions: [], blobs: [] }
    const wanted = Math.max(atFirst, matches.from.length * 0.6)
    for (let k = 0; k < figures.length; k++) {
      // Most ways lead nowhere: not all of a chart has to be looked at to see that too little of it is there.
      if (next.from.length + figures.length - k < wanted) return undefined
      const found = blobAt(blobs, map, figures[k]!, grownReach[round]!, grownFactor)
      if (found === undefined) return undefined
      if (found < 0) continue
      next.from.push(figures[k]!.centre)
      next.to.push(blobs.list[found]!.centre)
      next.regions.push(k)
      next.blobs.push(found)
    }
    if (next.from.length < wanted) return undefined
    if (!likelyColours(blobs, constellation, next)) return undefined
    // Most ways lead to few places: what was grown once is not grown again.
    if (round === 1) {
      const corner = ([u, v]: Point) =>
        project(map!, u, v)
          .map((at) => Math.round(at / samePlace))
          .join()
      const name = [corner([0, 0]), corner([width, 0]), corner([0, height])].join(' ')
      if (known.has(name)) return undefined
      known.add(name)
    }
    matches = next
    map = fitHomography(matches.from, matches.to)
  }
  const matched = new Set(matches.blobs).size
  if (map === undefined || matched < Math.max(fewest, fewestShare * figures.length)) return undefined
  return { place: { map, matched }, blobs: matches.blobs }
}

/**
 * The blob where a map has a figure, −1 for none.
 *
 * @returns `undefined` where the map has run away
 */
function blobAt(
  blobs: Blobs,
  map: Mat3,
  { centre, area }: Figure,
  reach: number,
  factor: number,
): number | undefined {
  const side = Math.sqrt(area)
  const cx = centre[0]
  const cy = centre[1]
  const w = onRow(map, 2, cx, cy)
  const x = onRow(map, 0, cx, cy) / w
  const y = onRow(map, 1, cx, cy) / w
  const wide = onRow(map, 2, cx + side, cy)
  const high = onRow(map, 2, cx, cy + side)
  const ux = onRow(map, 0, cx + side, cy) / wide - x
  const uy = onRow(map, 1, cx + side, cy) / wide - y
  const vx = onRow(map, 0, cx, cy + side) / high - x
  const vy = onRow(map, 1, cx, cy + side) / high - y
  const seen = Math.abs(ux * vy - uy * vx)
  if (!Number.isFinite(seen)) return undefined
  return blobs.nearest(x, y, reach * Math.sqrt(seen), seen, factor)
}
