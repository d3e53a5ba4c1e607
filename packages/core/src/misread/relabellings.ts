import type { Chart, GridChart, RegionChart } from '../chart/chart.ts'
import { placeOnChart } from '../chart/placeOnChart.ts'
import { hypot } from '../elementary/hypot.ts'
import type { Vec3 } from '../linear/mat3.ts'

/** Light of every patch in the chart's order, `undefined` where it is not known. */
export type ChartLights = readonly (Vec3 | undefined)[]

/** One way in which a chart can be misread. */
export interface Relabelling {
  /** As the end of a sentence that begins with "the chart seems to have been read". */
  readonly words: string
  /** What is then read at each patch of a chart that shows `lights`. */
  readonly read: (lights: ChartLights) => (Vec3 | undefined)[]
}

/** The side of the sampled area as a share of the patch's. */
const sampledShare = 0.55
/** Light of the board between the patches, black as a rule: common practice, no source. */
const board = 0.02
/** A sampled area that shows more of the board than this says nothing of patches. */
const mostBoard = 0.4
/** Patches whose middles are nearer than this are at one place; the chart is 2 wide and high. */
const samePlace = 0.04

const upsideDown = 'upside down (turned by 180°)'
const leftToRight = 'mirrored left to right'
const topToBottom = 'mirrored top to bottom'

/**
 * How a chart can be misread: turned, mirrored; in a grid also shifted by one, or in another order. Each leads to other
 * pairs.
 */
export function relabellings(chart: Chart): Relabelling[] {
  return chart.regions === undefined ? inGrid(chart) : inRegions(chart)
}

/** A patch is read where another is, if one lies there. */
function inRegions(chart: RegionChart): Relabelling[] {
  const places = chart.patches.map((_, i) => placeOnChart(chart, i))
  const turned = (words: string, flipX: 1 | -1, flipY: 1 | -1): Relabelling => {
    const shown = places.map(([x, y]) =>
      places.findIndex(([u, v]) => hypot(u - flipX * x, v - flipY * y) < samePlace),
    )
    return { words, read: (lights) => shown.map((i) => lights[i]) }
  }
  return [turned(upsideDown, -1, -1), turned(leftToRight, -1, 1), turned(topToBottom, 1, -1)]
}

function inGrid(chart: GridChart): Relabelling[] {
  const { rows, columns } = chart
  const list = [
    byPlace(chart, upsideDown, (r, c) => [rows - 1 - r, columns - 1 - c]),
    byPlace(chart, leftToRight, (r, c) => [r, columns - 1 - c]),
    byPlace(chart, topToBottom, (r, c) => [rows - 1 - r, c]),
    ...shifts(chart),
    byPlace(chart, 'column by column where row by row is expected', (r, c) => {
      const place = r * columns + c
      return [place % rows, Math.floor(place / rows)]
    }),
    byPlace(chart, 'row by row where column by column is expected', (r, c) => {
      const place = c * rows + r
      return [Math.floor(place / columns), place % columns]
    }),
    ...quarterTurns(chart),
    ...exchangedRows(chart),
  ]
  return distinct(chart, list)
}

type Place = readonly [row: number, column: number]

function byPlace(
  { rows, columns }: GridChart,
  words: string,
  shown: (row: number, column: number) => Place,
): Relabelling {
  return {
    words,
    read: (lights) =>
      lights.map((_, i) => {
        const [r, c] = shown(Math.floor(i / columns), i % columns)
        return r < 0 || r >= rows || c < 0 || c >= columns ? undefined : lights[r * columns + c]
      }),
  }
}

function shifts(chart: GridChart): Relabelling[] {
  const shift = (words: string, down: number, right: number) =>
    byPlace(chart, words, (r, c) => [r + down, c + right])
  return [
    shift('one row too high', -1, 0),
    shift('one row too low', 1, 0),
    shift('one column too far to the left', 0, -1),
    shift('one column too far to the right', 0, 1),
  ]
}

function exchangedRows(chart: GridChart): Relabelling[] {
  const pairs = Array.from({ length: chart.rows }, (_, b) =>
    Array.from({ length: b }, (_, a) => [a, b] as const),
  ).flat()
  return pairs.map(([a, b]) =>
    byPlace(chart, `with rows ${a + 1} and ${b + 1} exchanged`, (r, c) => [r === a ? b : r === b ? a : r, c]),
  )
}

/**
 * The corners started at a neighbour of the right one. The grid is then laid over the chart crosswise: where it has not as
 * many rows as columns, a sampled area shows parts of several patches.
 */
function quarterTurns(chart: GridChart): Relabelling[] {
  return [
    crosswise(chart, 'turned by 90° (the corners start at the top right one)', (u, v) => [1 - v, u]),
    crosswise(chart, 'turned by 90° (the corners start at the bottom left one)', (u, v) => [v, 1 - u]),
  ]
}

function crosswise(
  chart: GridChart,
  words: string,
  shown: (u: number, v: number) => readonly [number, number],
): Relabelling {
  const { columns } = chart
  const {
    pitch: [across, down],
    patch: [width, height],
  } = chart.geometry
  const parts = chart.patches.map((_, i) => {
    const left = (i % columns) * across + (width * (1 - sampledShare)) / 2
    const top = Math.floor(i / columns) * down + (height * (1 - sampledShare)) / 2
    const [u0, v0] = shown(left, top)
    const [u1, v1] = shown(left + sampledShare * width, top + sampledShare * height)
    const area = Math.abs((u1 - u0) * (v1 - v0))
    return chart.patches.flatMap((_, j) => {
      const x = (j % columns) * across
      const y = Math.floor(j / columns) * down
      const share = (overlap(u0, u1, x, x + width) * overlap(v0, v1, y, y + height)) / area
      return share > 0 ? [{ j, share }] : []
    })
  })
  return {
    words,
    read: (lights) =>
      parts.map((of) => {
        const covered = of.reduce((sum, { share }) => sum + share, 0)
        if (1 - covered > mostBoard) return undefined
        const sum = [0, 1, 2].map(() => (1 - covered) * board) as [number, number, number]
        for (const { j, share } of of) {
          const light = lights[j]
          if (light === undefined) return undefined
          for (let c = 0; c < 3; c++) sum[c]! += share * light[c]!
        }
        return sum
      }),
  }
}

function overlap(a: number, b: number, low: number, high: number): number {
  return Math.max(Math.min(Math.max(a, b), high) - Math.max(Math.min(a, b), low), 0)
}

/** Without those that read every patch as it is, or as one before them in the list does. */
function distinct(chart: GridChart, list: readonly Relabelling[]): Relabelling[] {
  const marked: ChartLights = chart.patches.map((_, i) => [i + 1, 0, 0])
  const print = (lights: ChartLights) => lights.map((light) => light?.[0].toFixed(3) ?? '-').join(' ')
  const seen = new Set([print(marked)])
  return list.filter(({ read }) => {
    const read_ = print(read(marked))
    return seen.has(read_) ? false : seen.add(read_) !== undefined
  })
}
