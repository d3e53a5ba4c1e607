import type { Point } from '../geometry/homography.ts'
import { type FlatRegion, flatRegions } from './flatRegions.ts'
import { polygonArea, quadOfHull } from './quadOfHull.ts'
import type { WorkingImage } from './workingImage.ts'

/** A flat region that may be a patch: a convex four-sided figure, near enough a parallelogram. */
export interface Chip {
  readonly centre: Point
  /** Full sides, as vectors; the mean of opposite sides. */
  readonly u: Point
  readonly v: Point
  readonly area: number
}

/** What edge detection takes away from a region at every side, in pixels. */
const eroded = 1.2

/** Gradients per pixel below which a pixel is flat; from clean patches of little contrast to noisy ones. */
const thresholds = [0.006, 0.012, 0.022, 0.04, 0.07]

/** Pixels looked at to tell the noise of a picture. */
const noiseSamples = 10_000

/** The gradient that noise makes, nearly everywhere below it. Half of most frames has no edges: it is found there. */
export function noiseGradient(gradient: Float32Array): number {
  const step = Math.max(1, Math.floor(gradient.length / noiseSamples))
  const sorted = Float32Array.from(
    { length: Math.ceil(gradient.length / step) },
    (_, i) => gradient[i * step]!,
  ).sort()
  return sorted[Math.floor(sorted.length * 0.35)]! * 1.8
}

export function findChips({ width, height }: WorkingImage, gradient: Float32Array): Chip[] {
  const noise = noiseGradient(gradient)
  const levels = [...new Set(thresholds.map((level) => Math.max(level, noise)))].slice(0, thresholds.length)
  if (levels.length < 3) levels.push(noise * 1.6, noise * 2.5)
  const limits = { smallest: 14, largest: 0.2 * width * height }
  const chips: Chip[] = []
  for (const level of levels) {
    for (const region of flatRegions(gradient, width, height, level, limits)) {
      const chip = chipOf(region)
      if (chip !== undefined) addChip(chips, chip)
    }
  }
  return chips
}

function chipOf(region: FlatRegion): Chip | undefined {
  const hullArea = polygonArea(region.hull)
  if (region.area < 0.72 * hullArea) return undefined
  const quad = quadOfHull(region.hull)
  if (quad === undefined) return undefined
  const quadArea = polygonArea(quad)
  if (region.area < 0.66 * quadArea) return undefined
  const [a, b, c, d] = quad
  const u: Point = [(b[0] - a[0] + c[0] - d[0]) / 2, (b[1] - a[1] + c[1] - d[1]) / 2]
  const v: Point = [(d[0] - a[0] + c[0] - b[0]) / 2, (d[1] - a[1] + c[1] - b[1]) / 2]
  const lu = Math.hypot(...u)
  const lv = Math.hypot(...v)
  const sine = Math.abs(u[0] * v[1] - u[1] * v[0]) / (lu * lv)
  if (!(sine > 0.55) || Math.max(lu, lv) > 3.2 * Math.min(lu, lv)) return undefined
  const growU = (lu + 2 * eroded) / lu
  const growV = (lv + 2 * eroded) / lv
  return {
    centre: region.centre,
    u: [u[0] * growU, u[1] * growU],
    v: [v[0] * growV, v[1] * growV],
    area: quadArea * growU * growV,
  }
}

/** The same patch turns up at several thresholds; the largest of its figures is the one nearest to its edges. */
function addChip(chips: Chip[], chip: Chip): void {
  const reach = 0.25 * Math.sqrt(chip.area)
  for (let i = 0; i < chips.length; i++) {
    const other = chips[i]!
    if (Math.hypot(other.centre[0] - chip.centre[0], other.centre[1] - chip.centre[1]) > reach) continue
    if (other.area > 3 * chip.area || chip.area > 3 * other.area) continue
    if (chip.area > other.area) chips[i] = chip
    return
  }
  chips.push(chip)
}
