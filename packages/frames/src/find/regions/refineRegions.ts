import { hypot, type Mat3, multiply3, type RegionChart } from '@isochip/core'
import type { Point } from '../../geometry/homography.ts'
import { solveNormal } from '../../geometry/solveNormal.ts'
import { constants } from '../constants.ts'
import type { WorkingImage } from '../prepare/workingImage.ts'
import { applyChartModel, type ChartModel } from '../refine/chartModel.ts'
import { type EdgePoint, outlinePoints } from './outlinePoints.ts'

export interface RefinedRegions {
  /** From the chart's own coordinates to frame pixels. */
  readonly model: ChartModel
  /** Patches of whose outline the greater part was seen. */
  readonly seen: number
  /** Distance of the edges from the model's, root mean square, in working pixels; `undefined` where too few were seen. */
  readonly misfit: number | undefined
}

/** An edge that was seen: across the outline, outwards, in the chart's unit. */
interface SeenEdge {
  readonly point: EdgePoint
  readonly off: number
  /** Working pixels per unit across the outline. */
  readonly scale: number
  /** 1 where the patch is lighter than what is about it, −1 where it is darker. */
  readonly lighter: number
}

/**
 * Unknowns: the eight of a projective map, the lens, and by how much light patches grow and dark ones shrink. Where blur meets
 * overexposure, edges lie on the dark side of where they are, which would move the outer ones and so the map.
 */
const size = 10

/**
 * Moves a model so that the outlines of a chart's regions lie on edges of the picture: Gauss–Newton on the distances across
 * the outlines, far ones weighing less.
 *
 * @param model from the chart's own coordinates to frame pixels
 */
export function refineRegions(image: WorkingImage, chart: RegionChart, model: ChartModel): RefinedRegions {
  const { reaches, leastSeen, lensSpread, perspectiveSpread, least, outlying } = constants.regions.refine
  const points = outlinePoints(chart)
  let current = model
  let seen = 0
  let misfit: number | undefined
  for (const reach of reaches) {
    const edges = points.flatMap((point): SeenEdge[] => {
      const edge = edgeAt(image, current, point, reach)
      return edge === undefined ? [] : [edge]
    })
    const counts = new Map<number, number>()
    for (const { point } of edges) counts.set(point.patch, (counts.get(point.patch) ?? 0) + 1)
    const totals = new Map<number, number>()
    for (const { patch } of points) totals.set(patch, (totals.get(patch) ?? 0) + 1)
    seen = [...counts].filter(([patch, count]) => count > totals.get(patch)! / 2).length
    if (edges.length < Math.max(3 * 9, leastSeen * points.length)) break
    const distances = edges.map(({ off, scale }) => Math.abs(off * scale)).sort((a, b) => a - b)
    const spread = Math.max(least, outlying * distances[distances.length >> 1]!)
    const next = step(chart, current, edges, spread, lensSpread, perspectiveSpread)
    if (next === undefined) break
    current = next
    const kept = distances.filter((distance) => distance < spread)
    misfit = Math.sqrt(kept.reduce((sum, one) => sum + one ** 2, 0) / Math.max(1, kept.length))
  }
  return { model: current, seen, misfit }
}

/** The model moved once: chart coordinates p + A·p, and the lens's coefficient. */
function step(
  { regions: { size: extent } }: RegionChart,
  model: ChartModel,
  edges: readonly SeenEdge[],
  spread: number,
  lensSpread: number,
  perspectiveSpread: number,
): ChartModel | undefined {
  const [mx, my] = [extent[0] / 2, extent[1] / 2]
  const unit = hypot(mx, my)
  const normal = new Float64Array(size * size)
  const right = new Float64Array(size)
  const dk = 1e-3
  const bent: ChartModel = { ...model, distortion: model.distortion + dk }
  for (const { point, off, scale, lighter } of edges) {
    const [nx, ny] = point.normal
    // About the chart's middle, in its half diagonal: all unknowns are of one size then.
    const x = (point.at[0] - mx) / unit
    const y = (point.at[1] - my) / unit
    const distance = off * scale
    const weight = 1 / (1 + (distance / spread) ** 2)
    const across = nx * x + ny * y
    const lens = lensShift(model, bent, point) / dk
    const row = [
      nx,
      ny,
      nx * x,
      nx * y,
      ny * x,
      ny * y,
      across * x,
      across * y,
      lens / unit,
      lighter / (unit * scale),
    ]
    for (let i = 0; i < size; i++) {
      const a = row[i]! * unit * scale
      right[i]! += weight * a * distance
      for (let j = 0; j <= i; j++) normal[size * i + j]! += weight * a * row[j]! * unit * scale
    }
  }
  // Priors in the pixels that the other rows are in: a lens, and a perspective, that few edges ask for is noise.
  normal[size * 8 + 8]! += (1 / lensSpread) ** 2
  right[8]! -= model.distortion * (1 / lensSpread) ** 2
  for (const i of [6, 7]) normal[size * i + i]! += (1 / perspectiveSpread) ** 2
  // In working pixels.
  normal[size * 9 + 9]! += 1
  if (!solveNormal(normal, right)) return undefined
  const d = (i: number) => right[i]!
  const move: Mat3 = [
    [1 + d(2), d(3), d(0)],
    [d(4), 1 + d(5), d(1)],
    [-d(6), -d(7), 1],
  ]
  const into: Mat3 = [
    [1 / unit, 0, -mx / unit],
    [0, 1 / unit, -my / unit],
    [0, 0, 1],
  ]
  const back: Mat3 = [
    [unit, 0, mx],
    [0, unit, my],
    [0, 0, 1],
  ]
  const strongest = constants.refine.strongestLens
  return {
    ...model,
    plane: multiply3(model.plane, multiply3(back, multiply3(move, into))),
    distortion: Math.max(-strongest, Math.min(strongest, model.distortion + d(8))),
  }
}

/** How far a change of the lens moves a point across its outline, in the chart's unit. */
function lensShift(model: ChartModel, bent: ChartModel, { at, normal }: EdgePoint): number {
  const [x, y] = applyChartModel(model, ...at)
  const [bx, by] = applyChartModel(bent, ...at)
  const h = 1e-3
  const [ux, uy] = applyChartModel(model, at[0] + h, at[1])
  const [vx, vy] = applyChartModel(model, at[0], at[1] + h)
  const [a, b, c, d] = [(ux - x) / h, (vx - x) / h, (uy - y) / h, (vy - y) / h]
  const det = a * d - b * c
  const shift: Point = [(d * (bx - x) - b * (by - y)) / det, (a * (by - y) - c * (bx - x)) / det]
  return normal[0] * shift[0] + normal[1] * shift[1]
}

/**
 * The edge nearest to a point of an outline, looked for along its normal.
 *
 * @param reach how far it may be, in half widths of the patch
 */
function edgeAt(
  image: WorkingImage,
  model: ChartModel,
  point: EdgePoint,
  reach: number,
): SeenEdge | undefined {
  const { samples, lines, faintest, overNoise } = constants.regions.refine
  const { scale: zoom } = image
  const { at, normal, half } = point
  const far = reach * half
  const pixel = (t: number, s: number) =>
    applyChartModel(model, at[0] + t * normal[0] - s * normal[1], at[1] + t * normal[1] + s * normal[0])
  const [ix, iy] = pixel(-far, 0)
  const [ox, oy] = pixel(far, 0)
  const length = hypot(ox - ix, oy - iy) * zoom
  const scale = length / (2 * far)
  if (!(length > 0)) return undefined
  const profile = new Float64Array(3 * samples)
  for (let k = 0; k < samples; k++) {
    const t = far * ((2 * k) / (samples - 1) - 1)
    for (const beside of lines) {
      if (!addSample(image, pixel(t, beside * half), profile, 3 * k, 1 / lines.length)) return undefined
    }
  }
  // Differences over about two pixels: less is interpolation.
  const h = Math.max(1, Math.min(samples >> 3, Math.round((samples - 1) / Math.max(length, 1))))
  const slope = new Float64Array(samples)
  for (let k = h; k < samples - h; k++) {
    let square = 0
    for (let c = 0; c < 3; c++) square += (profile[3 * (k + h) + c]! - profile[3 * (k - h) + c]!) ** 2
    slope[k] = Math.sqrt(square)
  }
  const middle = (samples - 1) / 2
  // What changes deep in the patch is its noise.
  const inner = [...slope.subarray(h, Math.max(h + 2, Math.round(middle * 0.5)))].sort((a, b) => a - b)
  const floor = Math.max(faintest, overNoise * (inner[inner.length >> 1] ?? 0))
  let best: { readonly worth: number; readonly at: number } | undefined
  for (let k = h; k < samples - h; k++) {
    const value = slope[k]!
    if (value < floor || value < slope[k - 1]! || value <= slope[k + 1]!) continue
    const bend = slope[k - 1]! - 2 * value + slope[k + 1]!
    const where = k + (bend < 0 ? (0.5 * (slope[k - 1]! - slope[k + 1]!)) / bend : 0)
    const off = (where - middle) / middle
    const worth = value * (1 - 0.8 * Math.abs(off))
    if (best === undefined || worth > best.worth) best = { worth, at: off * far }
  }
  if (best === undefined) return undefined
  const edge = Math.round(middle * (1 + best.at / far))
  let lighter = 0
  for (let k = 0; k < samples; k++)
    for (let c = 0; c < 3; c++)
      lighter += profile[3 * k + c]! * (k < edge ? 1 / Math.max(1, edge) : -1 / (samples - edge))
  return { point, off: best.at, scale, lighter: Math.sign(lighter) }
}

/** Adds a share of the picture at a frame point, between its four pixels; false where that is out of the picture. */
function addSample(
  { width, height, data, scale }: WorkingImage,
  [fx, fy]: Point,
  to: Float64Array,
  at: number,
  share: number,
): boolean {
  const x = fx * scale - 0.5
  const y = fy * scale - 0.5
  const x0 = Math.floor(x)
  const y0 = Math.floor(y)
  if (!(x0 >= 0 && y0 >= 0 && x0 < width - 1 && y0 < height - 1)) return false
  const dx = x - x0
  const dy = y - y0
  const from = 3 * (y0 * width + x0)
  for (let c = 0; c < 3; c++)
    to[at + c]! +=
      share *
      ((data[from + c]! * (1 - dx) + data[from + 3 + c]! * dx) * (1 - dy) +
        (data[from + 3 * width + c]! * (1 - dx) + data[from + 3 * width + 3 + c]! * dx) * dy)
  return true
}
