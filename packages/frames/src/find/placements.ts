import type { Chart } from '@isochip/core'
import { project } from '../geometry/homography.ts'
import type { CellColour } from './colourFit.ts'
import { colourFit, explainedByAll, type ReferenceTones } from './colourFit.ts'
import type { Lattice, LatticeMember } from './lattice.ts'
import { type Veil, veilOf } from './veilOf.ts'

/** One way a chart may lie on a lattice. */
export interface Placement {
  readonly chart: Chart
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
  /** Chart cells where a chip was found. */
  readonly chips: number
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

/** Cells further from square than the chart's own by this factor are not its, even at 40° of slant. */
const slant = 1.7

const outside: CellColour = {
  rgb: [0, 0, 0],
  sd: Number.POSITIVE_INFINITY,
  clipped: [true, true, true],
  missing: true,
}
/** A place with a larger share of its cells out of the picture is not looked at. */
const mostOutside = 0.35

/** Placements that get a full fit. */
const most = 12
/** The same of those that reach out of the picture. */
const mostCut = 4
/** Placements for which a veil is looked for before that. */
const mostVeiled = 36

export interface Candidate {
  readonly chart: Chart
  readonly tones: readonly ReferenceTones[]
}

/**
 * The most likely ways that a chart may lie on a lattice, best first.
 */
export function placements(
  lattice: {
    readonly map: Lattice['map']
    readonly members: readonly Pick<LatticeMember, 'column' | 'row'>[]
  },
  { chart, tones }: Candidate,
  cell: (column: number, row: number) => CellColour | undefined,
): Placement[] {
  const { members, map } = lattice
  const columns = members.map((member) => member.column)
  const rows = members.map((member) => member.row)
  const left = Math.min(...columns)
  const right = Math.max(...columns)
  const top = Math.min(...rows)
  const bottom = Math.max(...rows)
  const total = chart.rows * chart.columns
  const fewest = Math.max(Math.min(3, total), 0.2 * total, 0.6 * Math.min(members.length, total))
  const aspect = (chart.geometry.pitch[0] / chart.geometry.pitch[1]) * chart.geometry.aspect
  const middle = [(left + right) / 2, (top + bottom) / 2] as const
  const handed = handedness(map, middle)
  const drafts: {
    quick: number
    readonly cells: readonly CellColour[]
    readonly placed: Omit<Placement, 'explained' | 'whole' | 'even'>
    readonly veilOver: () => Veil | undefined
  }[] = []
  const line = chart.rows === 1 || chart.columns === 1
  for (const [across, down] of turns) {
    const mirrored = (across[0] * down[1] - across[1] * down[0]) * handed < 0
    // A single row looks in a mirror as it does upside down.
    if (mirrored && line) continue
    const ratio = stepLength(map, middle, across) / stepLength(map, middle, down) / aspect
    if (ratio > slant || ratio < 1 / slant) continue
    const w = across[0] !== 0 ? chart.columns : chart.rows
    const h = across[0] !== 0 ? chart.rows : chart.columns
    for (let y = top - h + 1; y <= bottom; y++) {
      for (let x = left - w + 1; x <= right; x++) {
        let chips = 0
        for (const member of members)
          if (member.column >= x && member.column < x + w && member.row >= y && member.row < y + h) chips++
        if (chips < fewest) continue
        const origin = [
          across[0] < 0 || down[0] < 0 ? x + w - 1 : x,
          across[1] < 0 || down[1] < 0 ? y + h - 1 : y,
        ] as const
        const cells: CellColour[] = []
        let missing = 0
        for (let k = 0; k < total; k++) {
          const c = k % chart.columns
          const r = (k - c) / chart.columns
          const one = cell(origin[0] + c * across[0] + r * down[0], origin[1] + c * across[1] + r * down[1])
          if (one === undefined) missing++
          cells.push(one ?? outside)
        }
        if (missing > mostOutside * total) continue
        const placed = { chart, origin, across, down, mirrored, chips, cut: missing > 0 }
        const veilOver = once(() => veilOf(cells, chart.columns, slopesOf(cells, placed)))
        drafts.push({ quick: explainedByAll(cells, tones[1]!), cells, placed, veilOver })
      }
    }
  }
  // One tone tells which are worth the full fit; the place that is asked about gets it in any case. A veil takes time to
  // be measured, and lifts a place that has something to say already.
  drafts.sort((a, b) => b.quick - a.quick)
  for (const draft of drafts.slice(0, mostVeiled))
    draft.quick = Math.max(draft.quick, explainedByAll(draft.cells, tones[1]!, draft.veilOver))
  drafts.sort((a, b) => b.quick - a.quick)
  const best = (cut: boolean, count: number) =>
    drafts.filter(({ placed }) => placed.cut === cut && !isHere(placed)).slice(0, count)
  return [...drafts.filter(({ placed }) => isHere(placed)), ...best(false, most), ...best(true, mostCut)]
    .map(({ cells, placed, veilOver }): Placement => {
      const fits = tones.map((reference) => colourFit(cells, reference, veilOver))
      return {
        ...placed,
        explained: Math.max(...fits.map((fit) => fit.explained)),
        whole: Math.max(...fits.map((fit) => fit.whole)),
        even: evenness(cells),
      }
    })
    .sort((a, b) => b.whole - a.whole)
}

/** A function that works its value out when it is first asked. */
function once<T>(work: () => T): () => T {
  let done: { readonly value: T } | undefined
  return () => {
    done ??= { value: work() }
    return done.value
  }
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
function evenness(all: readonly CellColour[]): number {
  const cells = all.filter(({ missing }) => missing === undefined)
  const n = cells.length
  let variance = 0
  for (let c = 0; c < 3; c++) {
    const mean = cells.reduce((sum, { rgb }) => sum + rgb[c]!, 0) / n
    variance = Math.max(variance, cells.reduce((sum, { rgb }) => sum + (rgb[c]! - mean) ** 2, 0) / n)
  }
  const limit = 0.3 * Math.sqrt(variance)
  return cells.filter((one) => one.sd < limit).length / n
}

function stepLength(
  lattice: Lattice['map'],
  [x, y]: readonly [number, number],
  step: readonly [number, number],
): number {
  const a = project(lattice, x - step[0] / 2, y - step[1] / 2)
  const b = project(lattice, x + step[0] / 2, y + step[1] / 2)
  return Math.hypot(b[0] - a[0], b[1] - a[1])
}

/** 1 when the lattice's rows lie clockwise of its columns (as y runs down), −1 when the other way. */
function handedness(map: Lattice['map'], [x, y]: readonly [number, number]): number {
  const o = project(map, x, y)
  const a = project(map, x + 0.5, y)
  const b = project(map, x, y + 0.5)
  return Math.sign((a[0] - o[0]) * (b[1] - o[1]) - (a[1] - o[1]) * (b[0] - o[0]))
}
