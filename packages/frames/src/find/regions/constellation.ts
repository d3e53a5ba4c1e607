import { type ChartPoint, hypot, type RegionChart, regionOf } from '@isochip/core'
import { insetRegion } from '../../sample/area/insetRegion.ts'
import { regionDepth } from '../../sample/area/regionDepth.ts'
import { constants } from '../constants.ts'
import { referenceColours } from '../place/referenceColours.ts'
import { type ReferenceTones, referenceTones } from '../place/referenceTones.ts'
import { type Figure, figuresOfChart } from './figure.ts'
import { outlinePoints } from './outlinePoints.ts'

/** Two neighbouring regions, as the first one sees the second. */
interface NeighbourPair {
  readonly from: number
  readonly to: number
  /** Vector between them, by the first one's spread: the same after any affine map, but for a turn. */
  readonly x: number
  readonly y: number
  readonly length: number
}

/** What is known of a chart of regions before a picture is looked at. */
export interface Constellation {
  readonly chart: RegionChart
  readonly tones: readonly ReferenceTones[]
  readonly figures: readonly Figure[]
  /** Of every region the nearest ones. */
  readonly neighbours: readonly (readonly number[])[]
  /** Of each of these the middle, x and y, and the area, one after the other: what is asked for millions of times. */
  readonly near: readonly Float64Array[]
  /** By length. */
  readonly pairs: readonly NeighbourPair[]
  /**
   * The chart as it is, and in the ways it may be turned over with its regions where regions stand: of every region the one whose
   * place it takes, −1 for none.
   */
  readonly turned: readonly Int32Array[]
  /** Turned over to one side, it is such. What a mirror shows is told by the colours alone. */
  readonly symmetric: boolean
  /** The middle of every region, and half the side of an upright square that lies well within it. */
  readonly cells: readonly { readonly centre: ChartPoint; readonly half: number }[]
  /** Points of the board about every region, off all others. */
  readonly boards: readonly (readonly ChartPoint[])[]
}

/** As it is, turned over across, down, and upside down. */
const ways = [
  [false, false],
  [true, false],
  [false, true],
  [true, true],
] as const

const made = new WeakMap<RegionChart, Constellation>()

/** @returns `undefined` for a chart that has not all its values, and so cannot be told by its colours */
export function constellation(chart: RegionChart): Constellation | undefined {
  const known = made.get(chart)
  if (known !== undefined) return known
  const colours = referenceColours(chart)
  if (colours === undefined) return undefined
  const one = newConstellation(chart, referenceTones(colours))
  made.set(chart, one)
  return one
}

function newConstellation(chart: RegionChart, tones: readonly ReferenceTones[]): Constellation {
  const { neighbours: count, cellShare, same, symmetric } = constants.regions
  const figures = figuresOfChart(chart)
  const distance = (a: Figure, b: Figure) => hypot(a.centre[0] - b.centre[0], a.centre[1] - b.centre[1])
  const neighbours = figures.map((one, k) =>
    [...figures.keys()]
      .filter((j) => j !== k)
      .sort((a, b) => distance(one, figures[a]!) - distance(one, figures[b]!))
      .slice(0, count),
  )
  const pairs = figures.flatMap((one, from) =>
    neighbours[from]!.map((to): NeighbourPair => {
      const [x, y] = seenFrom(one, figures[to]!)
      return { from, to, x, y, length: hypot(x, y) }
    }),
  )
  pairs.sort((a, b) => a.length - b.length)
  const [width, height] = chart.regions.size
  const turned = ([across, down]: readonly [boolean, boolean]) =>
    Int32Array.from(figures, ({ centre: [x, y], area }) => {
      const [u, v] = [across ? width - x : x, down ? height - y : y]
      const near = same * Math.sqrt(area)
      return figures.findIndex((other) => hypot(other.centre[0] - u, other.centre[1] - v) < near)
    })
  const covers = (places: Int32Array) => places.filter((k) => k >= 0).length >= symmetric * figures.length
  const [plain, ...over] = ways.map(turned)
  const mirrored = over.slice(0, 2).filter(covers)
  return {
    chart,
    tones,
    figures,
    neighbours,
    near: neighbours.map((around) =>
      Float64Array.from(around.flatMap((k) => [...figures[k]!.centre, figures[k]!.area])),
    ),
    pairs,
    turned: [plain!, ...over.filter(covers)],
    symmetric: mirrored.length > 0,
    cells: chart.patches.map((_, k) => {
      const { centre, half } = insetRegion(regionOf(chart, k), cellShare)
      return { centre, half }
    }),
    boards: boardsOf(chart),
  }
}

function boardsOf(chart: RegionChart): ChartPoint[][] {
  const { away, clear } = constants.regions.board
  const regions = chart.patches.map((_, k) => regionOf(chart, k))
  const boards = regions.map((): ChartPoint[] => [])
  for (const { patch, at, normal, half } of outlinePoints(chart)) {
    const point: ChartPoint = [at[0] + away * half * normal[0], at[1] + away * half * normal[1]]
    const [width, height] = chart.regions.size
    if (point[0] < 0 || point[1] < 0 || point[0] > width || point[1] > height) continue
    if (regions.every((region) => regionDepth(region, point) < -clear * half)) boards[patch]!.push(point)
  }
  return boards
}

/** The vector from one figure's middle to another's, by the first one's spread. */
export function seenFrom({ centre, whiten }: Figure, other: Figure): readonly [number, number] {
  const dx = other.centre[0] - centre[0]
  const dy = other.centre[1] - centre[1]
  return [whiten[0] * dx + whiten[1] * dy, whiten[1] * dx + whiten[2] * dy]
}
