import type { GridChart } from '@isochip/core'
import { hypot } from '@isochip/core'
import { project } from '../../geometry/homography.ts'
import type { Lattice, LatticeMember } from '../candidates/lattice.ts'
import { constants } from '../constants.ts'
import type { CellColour } from './cellColour.ts'
import { colourFit } from './colourFit.ts'
import { explainedByAll, roughlyExplained } from './explainedByAll.ts'
import type { ReferenceTones } from './referenceTones.ts'
import { type Veil, veilingGlare } from './veilingGlare.ts'

/** One way a chart may lie on a lattice. */
export interface Placement {
  readonly chart: GridChart
  /** Lattice cell of a patch: origin + column · across + row · down. */
  readonly origin: readonly [number, number]
  readonly across: readonly [number, number]
  readonly down: readonly [number, number]
  /** The picture shows the chart as in a mirror. */
  readonly mirrored: boolean
  /** How much of the colours' variation the chart explains, 0…1 (see `ColourFit`). */
  readonly explained: number
  /** The same with no patch left out as spoilt. */
  readonly whole: number
  /** Share of the chart's cells that are even, 0…1. */
  readonly even: number
  /** Some of its cells lie out of the picture: a rival of others, but no place that could be sampled. */
  readonly cut: boolean
  /** Chart cells where a candidate was found. */
  readonly candidates: number
}

/** The chart's directions of reading in lattice steps: four turns, and the same in a mirror. */
const turns: readonly (readonly [across: readonly [number, number], down: readonly [number, number]])[] = [
  [
    [1, 0],
    [0, 1],
  ],
  [
    [0, 1],
    [-1, 0],
  ],
  [
    [-1, 0],
    [0, -1],
  ],
  [
    [0, -1],
    [1, 0],
  ],
  [
    [-1, 0],
    [0, 1],
  ],
  [
    [0, 1],
    [1, 0],
  ],
  [
    [1, 0],
    [0, -1],
  ],
  [
    [0, -1],
    [-1, 0],
  ],
]

const outside: CellColour = {
  rgb: [0, 0, 0],
  sd: Number.POSITIVE_INFINITY,
  clipped: [true, true, true],
  missing: true,
}

export interface ChartCandidate {
  readonly chart: GridChart
  readonly tones: readonly ReferenceTones[]
}

/**
 * The most likely ways that a chart may lie on a lattice, best first.
 *
 * @param cuts also such as reach out of the picture, and such as are not worth a look but as rivals of another
 */
export function placements(
  lattice: {
    readonly map: Lattice['map']
    readonly members: readonly Pick<LatticeMember, 'column' | 'row'>[]
  },
  { chart, tones }: ChartCandidate,
  cell: (column: number, row: number) => CellColour | undefined,
  cuts = true,
): Placement[] {
  const { members, map } = lattice
  const {
    fewest: fewestOfChart,
    fewestOfLattice,
    mostOutside,
    most,
    mostCut,
    mostVeiled,
    mostRough,
    mostRoughCut,
    leastRough,
    leastWhole,
  } = constants.placement
  const columns = members.map((member) => member.column)
  const rows = members.map((member) => member.row)
  const left = Math.min(...columns)
  const right = Math.max(...columns)
  const top = Math.min(...rows)
  const bottom = Math.max(...rows)
  const membersIn = countIn(members, left, top, right, bottom)
  const total = chart.rows * chart.columns
  const fewest = Math.max(
    Math.min(3, total),
    fewestOfChart * total,
    fewestOfLattice * Math.min(members.length, total),
  )
  const middle = [(left + right) / 2, (top + bottom) / 2] as const
  const handed = handedness(map, middle)
  const drafts: {
    rank: number
    readonly placed: Omit<Placement, 'explained' | 'whole' | 'even'>
  }[] = []
  // Of the thousands of places on a wall of tiles the colours of a few are looked at again: those are put together anew.
  const cells = new Array<CellColour>(total)
  const line = chart.rows === 1 || chart.columns === 1
  for (const [across, down] of turns) {
    const mirrored = (across[0] * down[1] - across[1] * down[0]) * handed < 0
    // A single row looks in a mirror as it does upside down.
    if (mirrored && line) continue
    if (!squareEnough(chart, map, middle, across, down)) continue
    const w = across[0] !== 0 ? chart.columns : chart.rows
    const h = across[0] !== 0 ? chart.rows : chart.columns
    for (let y = top - h + 1; y <= bottom; y++) {
      for (let x = left - w + 1; x <= right; x++) {
        const candidates = membersIn(x, y, w, h)
        if (candidates < fewest) continue
        const origin = [
          across[0] < 0 || down[0] < 0 ? x + w - 1 : x,
          across[1] < 0 || down[1] < 0 ? y + h - 1 : y,
        ] as const
        const mostMissing = cuts ? mostOutside * total : 0
        let missing = 0
        for (let k = 0; k < total && missing <= mostMissing; k++) {
          const c = k % chart.columns
          const r = (k - c) / chart.columns
          const one = cell(origin[0] + c * across[0] + r * down[0], origin[1] + c * across[1] + r * down[1])
          if (one === undefined) missing++
          cells[k] = one ?? outside
        }
        if (missing > mostMissing) continue
        const rank = roughlyExplained(cells, tones[1]!)
        if (rank < leastRough && !cuts) continue
        drafts.push({
          rank,
          placed: { chart, origin, across, down, mirrored, candidates, cut: missing > 0 },
        })
      }
    }
  }
  // Rougher looks at many tell which few are worth a better one; the place that is asked about gets all in any case. A
  // veil takes time to be measured, and lifts a place that has something to say already.
  const best = (whole: number, cut: number) => {
    drafts.sort((a, b) => b.rank - a.rank)
    const some = (of: boolean, count: number) =>
      drafts.filter(({ placed }) => placed.cut === of && !isHere(placed)).slice(0, count)
    return [...drafts.filter(({ placed }) => isHere(placed)), ...some(false, whole), ...some(true, cut)]
  }
  const looked = best(mostRough, mostRoughCut)
  const views = new Map(looked.map((draft) => [draft, viewOf(draft.placed, cell)]))
  for (const draft of looked) draft.rank = 1 + explainedByAll(views.get(draft)!.cells, tones[1]!)
  looked.sort((a, b) => b.rank - a.rank)
  for (const draft of looked.slice(0, mostVeiled)) {
    const view = views.get(draft)!
    draft.rank = Math.max(draft.rank, 1 + explainedByAll(view.cells, tones[1]!, view.veilOver))
  }
  return best(most, mostCut)
    .filter(({ rank }) => cuts || rank >= 1 + leastWhole)
    .map((draft): Placement => {
      const { placed } = draft
      const view = views.get(draft) ?? viewOf(placed, cell)
      return { ...placed, ...fitOf(view, tones), even: evenness(view.cells) }
    })
    .sort((a, b) => b.whole - a.whole)
}

/**
 * `explained` of a chart that reads a lattice as it is numbered, without a look at the other ways it may lie.
 *
 * @returns `undefined` where it cannot lie so, or reaches out of the picture
 */
export function explainedHere(
  map: Lattice['map'],
  { chart, tones }: ChartCandidate,
  cell: (column: number, row: number) => CellColour | undefined,
): number | undefined {
  const [across, down] = turns[0]!
  if (!squareEnough(chart, map, [(chart.columns - 1) / 2, (chart.rows - 1) / 2], across, down))
    return undefined
  const view = viewOf({ chart, origin: [0, 0], across, down }, cell)
  return view.cells.includes(outside) ? undefined : fitOf(view, tones).explained
}

function fitOf({ cells, veilOver }: ReturnType<typeof viewOf>, tones: readonly ReferenceTones[]) {
  const fits = tones.map((reference) => colourFit(cells, reference, veilOver))
  return {
    explained: Math.max(...fits.map(({ explained }) => explained)),
    whole: Math.max(...fits.map(({ whole }) => whole)),
  }
}

/** Are a lattice's cells as a chart's would be, as far as slant allows? */
function squareEnough(
  { geometry }: GridChart,
  map: Lattice['map'],
  middle: readonly [number, number],
  across: readonly [number, number],
  down: readonly [number, number],
): boolean {
  const { slant } = constants.placement
  const aspect = (geometry.pitch[0] / geometry.pitch[1]) * geometry.aspect
  const ratio = stepLength(map, middle, across) / stepLength(map, middle, down) / aspect
  return !(ratio > slant || ratio < 1 / slant)
}

/** The colours of a chart's cells at a place, and what lies over them, which is measured once it is asked for. */
function viewOf(
  place: Pick<Placement, 'chart' | 'origin' | 'across' | 'down'>,
  cell: (column: number, row: number) => CellColour | undefined,
) {
  const { chart, origin, across, down } = place
  const cells = chart.patches.map((_, k) => {
    const c = k % chart.columns
    const r = (k - c) / chart.columns
    return cell(origin[0] + c * across[0] + r * down[0], origin[1] + c * across[1] + r * down[1]) ?? outside
  })
  let veil: { readonly over: Veil | undefined } | undefined
  const veilOver = () => {
    veil ??= { over: veilingGlare(cells, chart.columns, slopesOf(cells, place)) }
    return veil.over
  }
  return { cells, veilOver }
}

/** How many members lie in a block of cells, by a table of sums. */
function countIn(
  members: readonly Pick<LatticeMember, 'column' | 'row'>[],
  left: number,
  top: number,
  right: number,
  bottom: number,
): (column: number, row: number, columns: number, rows: number) => number {
  const wide = right - left + 2
  const high = bottom - top + 2
  const sums = new Int32Array(wide * high)
  for (const { column, row } of members) sums[(row - top + 1) * wide + column - left + 1]!++
  for (let y = 1; y < high; y++)
    for (let x = 1; x < wide; x++)
      sums[y * wide + x]! +=
        sums[y * wide + x - 1]! + sums[(y - 1) * wide + x]! - sums[(y - 1) * wide + x - 1]!
  const before = (column: number, row: number) => {
    const x = Math.max(0, Math.min(wide - 1, column - left))
    const y = Math.max(0, Math.min(high - 1, row - top))
    return sums[y * wide + x]!
  }
  return (x, y, w, h) => before(x + w, y + h) - before(x, y + h) - before(x + w, y) + before(x, y)
}

/** Does a placement read the lattice as it is numbered, from its first column and row? */
export function isHere({ origin, across, down }: Pick<Placement, 'origin' | 'across' | 'down'>): boolean {
  return origin[0] === 0 && origin[1] === 0 && across[0] === 1 && down[1] === 1
}

/** Change of lightness within every cell along the chart's rows and columns. */
function slopesOf(cells: readonly CellColour[], { across, down }: Pick<Placement, 'across' | 'down'>) {
  return cells.map(({ slope = [0, 0] }): readonly [number, number] => [
    slope[0] * across[0] + slope[1] * across[1],
    slope[0] * down[0] + slope[1] * down[1],
  ])
}

/** Share of cells whose own scatter is small beside the scatter of all cells. */
export function evenness(all: readonly CellColour[]): number {
  const cells = all.filter(({ missing }) => missing === undefined)
  const n = cells.length
  let variance = 0
  for (let c = 0; c < 3; c++) {
    const mean = cells.reduce((sum, { rgb }) => sum + rgb[c]!, 0) / n
    variance = Math.max(variance, cells.reduce((sum, { rgb }) => sum + (rgb[c]! - mean) ** 2, 0) / n)
  }
  const limit = constants.placement.even * Math.sqrt(variance)
  return cells.filter((one) => one.sd < limit).length / n
}

function stepLength(
  lattice: Lattice['map'],
  [x, y]: readonly [number, number],
  step: readonly [number, number],
): number {
  const a = project(lattice, x - step[0] / 2, y - step[1] / 2)
  const b = project(lattice, x + step[0] / 2, y + step[1] / 2)
  return hypot(b[0] - a[0], b[1] - a[1])
}

/** 1 when the lattice's rows lie clockwise of its columns (as y runs down), −1 when the other way. */
function handedness(map: Lattice['map'], [x, y]: readonly [number, number]): number {
  const o = project(map, x, y)
  const a = project(map, x + 0.5, y)
  const b = project(map, x, y + 0.5)
  return Math.sign((a[0] - o[0]) * (b[1] - o[1]) - (a[1] - o[1]) * (b[0] - o[0]))
}
