import type { GridChart } from '@isochip/core'
import { hypot } from '@isochip/core'
import type { Point } from '../../geometry/homography.ts'
import { constants } from '../constants.ts'
import type { WorkingImage } from '../prepare/workingImage.ts'
import { applyChartModel, type ChartModel, fitChartModel } from './chartModel.ts'

interface Edges {
  readonly before: number
  readonly behind: number
}

interface RefinedModel {
  readonly model: ChartModel
  /** How far patch middles are from it, root mean square, in cells; `undefined` with fewer than four that show. */
  readonly misfit: number | undefined
  /** Patches of which all four edges were seen. */
  readonly seen: number
}

/**
 * Moves a chart model so that every patch's middle lies half-way between its edges; where noise hides most of them,
 * once more on the filtered picture.
 *
 * @param image any working image of the frame; the finer, the better the result
 * @param filtered gives the same image filtered; asked for only where it is needed
 * @param model in frame pixels
 */
export function refineModel(
  image: WorkingImage,
  filtered: () => WorkingImage,
  chart: GridChart,
  model: ChartModel,
): RefinedModel {
  const plain = refineOn(image, chart, model)
  if (plain.seen >= constants.refine.wellSeen * chart.patches.length) return plain
  const median = refineOn(filtered(), chart, plain.model)
  return median.seen > plain.seen ? median : plain
}

function refineOn(image: WorkingImage, chart: GridChart, model: ChartModel): RefinedModel {
  const { slack: slacks, leastSeen, leastKept, leastSpread, spread: wide, outlying } = constants.refine
  let current = model
  let misfit: number | undefined
  let seen = 0
  let expected: number | undefined
  for (const slack of slacks) {
    const found = measureCentres(image, chart, current, expected, slack)
    // A stricter round that loses many patches is led by the few whose edges mislead alike.
    if (found.whole < Math.max(4, Math.min(6, leastSeen * chart.patches.length), leastKept * seen)) break
    seen = Math.max(seen, found.whole)
    let weights: readonly number[] = found.trust
    let next: ChartModel | undefined
    // Twice more with what lies far off weighing less: an edge of a mark or a shadow is not the patch's.
    for (let pass = 0; pass < 3; pass++) {
      next = fitChartModel(found.cells, found.points, weights, current)
      if (next === undefined) break
      const offsets = found.cells.map(([column, row], k) => offset(next!, column, row, found.points[k]!))
      const spread = Math.max(leastSpread, wide * [...offsets].sort((a, b) => a - b)[offsets.length >> 1]!)
      weights = offsets.map((distance, k) => found.trust[k]! / (1 + (distance / spread) ** 2))
      const kept = offsets.filter((distance) => distance < outlying * spread)
      misfit = Math.sqrt(kept.reduce((sum, distance) => sum + distance ** 2, 0) / Math.max(1, kept.length))
    }
    if (next === undefined) break
    current = next
    expected = found.usual
  }
  return { model: current, misfit, seen }
}

/** Distance of a point from a cell's middle, in cells. */
function offset(model: ChartModel, column: number, row: number, [x, y]: Point): number {
  const [mx, my] = applyChartModel(model, column, row)
  const [ax, ay] = applyChartModel(model, column + 0.5, row)
  const [bx, by] = applyChartModel(model, column, row + 0.5)
  const pitch = hypot(ax - mx, ay - my) + hypot(bx - mx, by - my)
  return hypot(x - mx, y - my) / pitch
}

/**
 * Middles of the patches whose edges show.
 *
 * @param expected side of a patch in cells, as earlier rounds saw it; without it the innermost clear edges are
 *   taken, and those that do not agree with the rest left out
 */
function measureCentres(
  image: WorkingImage,
  chart: GridChart,
  model: ChartModel,
  expected: number | undefined,
  slack: number,
) {
  const found: { column: number; row: number; across: Edges | undefined; down: Edges | undefined }[] = []
  for (let row = 0; row < chart.rows; row++) {
    for (let column = 0; column < chart.columns; column++) {
      const across = patchEdges(image, model, column, row, 0, expected, slack)
      const down = patchEdges(image, model, column, row, 1, expected, slack)
      found.push({ column, row, across, down })
    }
  }
  const width = (edges: Edges) => edges.behind - edges.before
  const widths = found.flatMap(({ across, down }) =>
    across !== undefined && down !== undefined ? [width(across), width(down)] : [],
  )
  const usual = widths.sort((a, b) => a - b)[widths.length >> 1] ?? 0
  const shift = (edges: Edges | undefined) =>
    edges === undefined || Math.abs(width(edges) - usual) > slack
      ? undefined
      : (edges.before + edges.behind) / 2
  const cells: Point[] = []
  const points: Point[] = []
  const trust: number[] = []
  let whole = 0
  for (const { column, row, across, down } of found) {
    const x = shift(across)
    const y = shift(down)
    if (x === undefined && y === undefined) continue
    const both = x !== undefined && y !== undefined
    if (both) whole++
    cells.push([column, row])
    points.push(applyChartModel(model, column + (x ?? 0), row + (y ?? 0)))
    trust.push(both ? 1 : constants.refine.halfSeen)
  }
  return { cells, points, trust, whole, usual }
}

/** The two edges of a patch along an axis, in cells from its supposed middle. `undefined` unless both stand out. */
function patchEdges(
  image: WorkingImage,
  model: ChartModel,
  column: number,
  row: number,
  axis: 0 | 1,
  expected: number | undefined,
  slack: number,
): Edges | undefined {
  const { reach, samples, inner: innerPart, overInner, faintest } = constants.refine
  const [ax, ay] = applyChartModel(model, column - 0.5, row)
  const [bx, by] = applyChartModel(model, column + 0.5, row)
  const pitch = hypot(bx - ax, by - ay) * image.scale
  const middle = (samples - 1) / 2
  const cell = middle / reach
  const slope = slopesOf(image, placesAlong(image, model, column, row, axis), cell / Math.max(pitch, 1))
  const inner = slope
    .subarray(Math.round(middle - innerPart * cell), Math.round(middle + innerPart * cell) + 1)
    .slice()
    .sort()
  const floor = Math.max(faintest, overInner * inner[inner.length >> 1]!)
  const wanted = expected === undefined ? undefined : expected / 2
  const behind = edge(slope, middle, cell, 1, floor, wanted, slack)
  const before = edge(slope, middle, cell, -1, floor, wanted, slack)
  return before === undefined || behind === undefined ? undefined : { before: -before, behind }
}

/** Points of the picture along lines through a patch, x and y, of which all samples are made; line by line within each step. */
function placesAlong(
  image: WorkingImage,
  model: ChartModel,
  column: number,
  row: number,
  axis: 0 | 1,
): Float64Array {
  const { reach, samples, lines } = constants.refine
  const places = new Float64Array(2 * samples * lines.length)
  for (let k = 0, at = 0; k < samples; k++) {
    const along = reach * ((2 * k) / (samples - 1) - 1)
    for (let line = 0; line < lines.length; line++, at += 2) {
      const beside = lines[line]!
      const c = column + (axis === 0 ? along : beside)
      const r = row + (axis === 0 ? beside : along)
      putPlace(image, model, c, r, places, at)
    }
  }
  needPlaces(image, places)
  return places
}

/** As `applyChartModel`, written out: this is asked for three hundred times per patch. */
function putPlace(
  { scale }: WorkingImage,
  { plane, middle, distortion, radius }: ChartModel,
  c: number,
  r: number,
  places: Float64Array,
  at: number,
): void {
  const [across, down, beyond] = plane
  const w = beyond[0] * c + beyond[1] * r + beyond[2]
  const px = (across[0] * c + across[1] * r + across[2]) / w
  const py = (down[0] * c + down[1] * r + down[2]) / w
  const dx = px - middle[0]
  const dy = py - middle[1]
  const lens = (distortion / radius ** 2) * (dx * dx + dy * dy)
  places[at] = (px + lens * dx) * scale - 0.5
  places[at + 1] = (py + lens * dy) * scale - 0.5
}

function needPlaces({ need }: WorkingImage, places: Float64Array): void {
  if (need === undefined) return
  let [left, top] = [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY]
  let [right, bottom] = [Number.NEGATIVE_INFINITY, Number.NEGATIVE_INFINITY]
  for (let k = 0; k < places.length; k += 2) {
    const x = places[k]!
    const y = places[k + 1]!
    if (x < left) left = x
    if (x > right) right = x
    if (y < top) top = y
    if (y > bottom) bottom = y
  }
  need(left, top, right + 1, bottom + 1)
}

/** How much the picture changes at each step along the lines, mean of these; 0 where that is not known. */
function slopesOf(image: WorkingImage, places: Float64Array, perPixel: number): Float64Array {
  const { samples, lines } = constants.refine
  const profile = new Float64Array(3 * samples)
  const counts = new Int32Array(samples)
  for (let k = 0, place = 0; k < samples; k++) {
    let count = 0
    for (let line = 0; line < lines.length; line++, place += 2)
      count += addSample(image, places[place]!, places[place + 1]!, profile, 3 * k)
    counts[k] = count
    if (count > 0) for (let c = 0; c < 3; c++) profile[3 * k + c]! /= count
  }
  // Differences over about two pixels: less is interpolation, more runs the two edges of a gap together.
  const h = Math.max(1, Math.min(3, Math.round(perPixel)))
  const slope = new Float64Array(samples)
  for (let k = h; k < samples - h; k++)
    if (counts[k - h] !== 0 && counts[k + h] !== 0) slope[k] = distanceOf(profile, 3 * (k + h), 3 * (k - h))
  return slope
}

function distanceOf(profile: Float64Array, a: number, b: number): number {
  let square = 0
  for (let c = 0; c < 3; c++) square += (profile[a + c]! - profile[b + c]!) ** 2
  return Math.sqrt(square)
}

/**
 * Adds the colour at a point, between its four neighbours.
 *
 * @returns how many points were added: none out of the picture
 */
function addSample(
  { width, height, data }: WorkingImage,
  x: number,
  y: number,
  sums: Float64Array,
  to: number,
): 0 | 1 {
  const x0 = Math.floor(x)
  const y0 = Math.floor(y)
  if (x0 < 0 || y0 < 0 || x0 >= width - 1 || y0 >= height - 1) return 0
  const dx = x - x0
  const dy = y - y0
  const above = 3 * (y0 * width + x0)
  const below = above + 3 * width
  for (let c = 0; c < 3; c++)
    sums[to + c]! +=
      (data[above + c]! * (1 - dx) + data[above + 3 + c]! * dx) * (1 - dy) +
      (data[below + c]! * (1 - dx) + data[below + 3 + c]! * dx) * dy
  return 1
}

/** Distance in cells from the middle to the edge on one side: the innermost clear one, or the one nearest to `wanted`. */
function edge(
  slope: Float64Array,
  middle: number,
  cell: number,
  side: 1 | -1,
  floor: number,
  wanted: number | undefined,
  slack: number,
): number | undefined {
  const at = (d: number) => slope[middle + side * d] ?? 0
  const { edgeFrom, edgeTo, ofStrongest, ofStrongestKnown } = constants.refine
  const from = Math.round(edgeFrom * cell)
  const to = Math.round(edgeTo * cell)
  let most = 0
  for (let d = from; d <= to; d++) most = Math.max(most, at(d))
  const threshold = Math.max(floor, (wanted === undefined ? ofStrongest : ofStrongestKnown) * most)
  let best: number | undefined
  for (let d = from; d <= to; d++) {
    const value = at(d)
    if (value < threshold || value < at(d - 1) || value <= at(d + 1)) continue
    // The top of the parabola through the three samples.
    const bend = at(d - 1) - 2 * value + at(d + 1)
    const where = (d + (bend < 0 ? (0.5 * (at(d - 1) - at(d + 1))) / bend : 0)) / cell
    if (wanted === undefined) return where
    if (
      Math.abs(where - wanted) <= slack &&
      !(best !== undefined && Math.abs(best - wanted) <= Math.abs(where - wanted))
    )
      best = where
  }
  return best
}
