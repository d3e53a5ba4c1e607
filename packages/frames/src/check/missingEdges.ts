import { type GridChart, type Range, seededRandom } from '@isochip/core'
import type { Frame } from '../frame/frame.ts'
import { nominalOf } from '../frame/nominalOf.ts'
import type { Point } from '../geometry/homography.ts'
import type { SampledArea } from '../sample/sampleChart.ts'

/** Strips of a side, each so many lines wide, and samples along a line where the gap is and on either side of it. */
const strips = 5
const lines = 3
const along = 3
/** Share of a side that the strips take up. */
const length = 0.8
/** Where a patch is looked at beside its edge, in half widths from its middle. */
const beside = [0.6, 0.85] as const
/** Standard errors that an edge has to be worth to be missed, and the share of it below which it is not there. */
const worth = 5
const gone = 0.4
/** What is usual is told by random pairs of strips. */
const pairs = 300
/** Errors are not believed below this, as a nominal fraction: a code or two of 8 bits. */
const finest = 0.004

/** Of a patch: sides along which the board would show, and those of them along which it does not. */
export interface PatchEdges {
  readonly shown: number
  readonly missing: number
}

interface Strip {
  readonly patch: number
  readonly side: number
  /** By channel, what shows in the gap, in the patch and in its neighbour beside it. */
  readonly gap: readonly number[]
  readonly own: readonly number[]
  readonly other: readonly number[]
}

/**
 * The board shows in the gaps between patches, and what lies over two of them lies over the gap as well. How strongly a gap shows,
 * after blur and with this board, all gaps of the chart tell: its level is a mean of its neighbours' and the board's.
 */
export function missingEdges(
  frame: Frame,
  range: Range,
  areas: readonly SampledArea[],
  chart: GridChart,
): readonly PatchEdges[] {
  const all = areas.flatMap((_, patch) => stripsOf(frame, range, areas, chart, patch))
  const usual = [0, 1, 2].map((c) => usualGap(all, c))
  const counts = areas.map(() => [0, 1, 2, 3].map(() => ({ shown: 0, missing: 0 })))
  for (const { patch, side, gap, own, other } of all) {
    let [expected, seen] = [0, 0]
    for (const [c, { level, share, error }] of usual.entries()) {
      const step = level + share * ((own[c]! + other[c]!) / 2) - own[c]!
      expected += (step / error) ** 2
      seen += (step * (gap[c]! - own[c]!)) / error ** 2
    }
    if (expected < worth ** 2) continue
    const count = counts[patch]![side]!
    count.shown++
    if (seen < gone * expected) count.missing++
  }
  return counts.map((sides) => ({
    shown: sides.filter(({ shown }) => shown > strips / 2).length,
    missing: sides.filter(({ missing }) => missing > strips / 2).length,
  }))
}

/** The gap's level as a line over the mean of its two patches. */
function usualGap(all: readonly Strip[], c: number) {
  const means = all.map(({ own, other }) => (own[c]! + other[c]!) / 2)
  const random = seededRandom(1)
  const slopes: number[] = []
  for (let k = 0; k < pairs && all.length > 1; k++) {
    const i = Math.floor(random() * all.length)
    const j = Math.floor(random() * all.length)
    if (Math.abs(means[i]! - means[j]!) > 0.02)
      slopes.push((all[i]!.gap[c]! - all[j]!.gap[c]!) / (means[i]! - means[j]!))
  }
  const share = slopes.length === 0 ? 0 : Math.max(0, Math.min(1, median(slopes)))
  const level = median(all.map(({ gap }, k) => gap[c]! - share * means[k]!))
  const error = 1.4826 * median(all.map(({ gap }, k) => Math.abs(gap[c]! - share * means[k]! - level)))
  return { level, share, error: Math.max(error, finest) }
}

function stripsOf(
  frame: Frame,
  range: Range,
  areas: readonly SampledArea[],
  chart: GridChart,
  patch: number,
): Strip[] {
  const { columns, rows, geometry } = chart
  const [column, row] = [patch % columns, Math.floor(patch / columns)]
  const sides = [
    [1, 0],
    [0, 1],
    [-1, 0],
    [0, -1],
  ] as const
  return sides.flatMap(([dx, dy], side): Strip[] => {
    const [x, y] = [column + dx, row + dy]
    if (x < 0 || y < 0 || x >= columns || y >= rows) return []
    const axis = dx === 0 ? 1 : 0
    const half = geometry.patch[axis] / geometry.pitch[axis] / 2
    const [own, other] = [lineOf(areas[patch]!, axis), lineOf(areas[y * columns + x]!, axis)]
    return Array.from({ length: strips }, (_, strip): Strip => {
      const mean = (from: number, to: number) => {
        const sum = [0, 0, 0]
        for (let i = 0; i < lines; i++) {
          const across = length * ((strip * lines + i + 0.5) / (strips * lines) - 0.5)
          const [a, b] = [own(across), other(across)]
          for (let k = 0; k < along; k++) {
            const t = from + ((k + 0.5) / along) * (to - from)
            addAt(frame, [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])], sum)
          }
        }
        const nominal = nominalOf(frame, range)
        return sum.map((value) => nominal(value / (lines * along)))
      }
      const gap = 1 - 2 * half
      const [near, far] = [beside[0] * half, beside[1] * half]
      return {
        patch,
        side,
        gap: mean(0.5 - gap / 4, 0.5 + gap / 4),
        own: mean(near, far),
        other: mean(1 - far, 1 - near),
      }
    })
  })
}

/** Points through the middle of a patch along the side that faces a neighbour; −½ … ½ is all of its width. */
function lineOf({ quad: [a, b, c, d], centre }: SampledArea, axis: 0 | 1): (across: number) => Point {
  const sampled = 0.55
  const [from, to] = axis === 0 ? [mid(a, b), mid(d, c)] : [mid(a, d), mid(b, c)]
  return (across) => [
    centre[0] + (across / sampled) * (to[0] - from[0]),
    centre[1] + (across / sampled) * (to[1] - from[1]),
  ]
}

const mid = (p: Point, q: Point): Point => [(p[0] + q[0]) / 2, (p[1] + q[1]) / 2]

function addAt({ data, width, height }: Frame, [x, y]: Point, sum: number[]): void {
  const column = Math.max(0, Math.min(width - 1, Math.floor(x)))
  const row = Math.max(0, Math.min(height - 1, Math.floor(y)))
  const at = 3 * (row * width + column)
  for (let c = 0; c < 3; c++) sum[c]! += data[at + c]!
}

const median = (values: readonly number[]) => [...values].sort((a, b) => a - b)[values.length >> 1] ?? 0
