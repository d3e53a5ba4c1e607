import { type Chart, hypot } from '@isochip/core'
import type { Point, Quad } from '../geometry/homography.ts'
import type { ChartMap } from '../sample/area/patchAreas.ts'
import { constants } from './constants.ts'
import type { Confidence } from './place/judgePlacement.ts'

/** A chart found in a frame. */
export interface FoundChart {
  readonly chart: Chart
  /** Outer corners of the patch grid in frame pixels, clockwise from the corner of the first patch. */
  readonly corners: Quad
  /** Finer map of the chart, with the lens's distortion; for `sampleChart`. */
  readonly map: ChartMap
  readonly confidence: Confidence
  /** Radial distortion of the lens as the chart shows it: 0.01 moves the frame's corners outwards by 1 %. */
  readonly distortion: number
}

export interface FindResult extends FoundChart {
  /** Other charts in the same frame, smaller than the one returned. */
  readonly others: readonly FoundChart[]
}

/** A place that may be a chart. */
export interface Seen {
  readonly found: FoundChart
  readonly mirrored: boolean
  /** Area of the grid in square pixels. */
  readonly area: number
}

export const isSure = (confidence: Confidence) =>
  (['value', 'explained', 'margin', 'even'] as const).every(
    (share) => confidence[share] >= constants.sure[share],
  )

/** What lies about the same middle is one thing: a grid behind the chart may pass for a poor chart. */
export function apart(seen: Seen[]): Seen[] {
  seen.sort((a, b) => b.found.confidence.value - a.found.confidence.value)
  return seen.filter(
    (one, i) => !seen.slice(0, i).some((other) => overlap(one.found.corners, other.found.corners)),
  )
}

/** Do the middles of two quads lie within each other's size? */
function overlap(a: Quad, b: Quad): boolean {
  const middle = (quad: Quad): Point => [
    quad.reduce((s, p) => s + p[0], 0) / 4,
    quad.reduce((s, p) => s + p[1], 0) / 4,
  ]
  const [ax, ay] = middle(a)
  const [bx, by] = middle(b)
  const radius = Math.min(...[a, b].map((quad) => hypot(quad[0][0] - quad[2][0], quad[0][1] - quad[2][1])))
  return hypot(ax - bx, ay - by) < constants.sure.overlap * radius
}

export function quadArea([a, b, c, d]: Quad): number {
  return Math.abs((c[0] - a[0]) * (d[1] - b[1]) - (c[1] - a[1]) * (d[0] - b[0])) / 2
}
