import type { Chart, Mat3 } from '@isochip/core'
import { type Point, project, type Quad } from '../geometry/homography.ts'

/** Where a patch is sampled. */
export interface PatchArea {
  readonly patch: string
  /** The sampled quad in pixels: clockwise from its corner nearest to the first patch's outer corner. */
  readonly quad: Quad
  readonly centre: Point
}

/** A point of the chart (fractions of the patch grid, 0…1 across and down) → pixels. */
export type ChartMap = (across: number, down: number) => Point

export const chartMap =
  (map: Mat3): ChartMap =>
  (across, down) =>
    project(map, across, down)

/**
 * The inner part of every patch of a chart.
 *
 * @param map chart fractions → pixels
 * @param share width of the sampled part over the width of the patch, 0…1
 */
export function patchAreas(chart: Chart, map: ChartMap, share: number): readonly PatchArea[] {
  const [pitchX, pitchY] = chart.geometry.pitch
  const [width, height] = chart.geometry.patch
  const halfX = (width * share) / 2
  const halfY = (height * share) / 2
  return chart.patches.map((patch, index) => {
    const x = width / 2 + (index % chart.columns) * pitchX
    const y = height / 2 + Math.floor(index / chart.columns) * pitchY
    return {
      patch: patch.name,
      quad: [
        map(x - halfX, y - halfY),
        map(x + halfX, y - halfY),
        map(x + halfX, y + halfY),
        map(x - halfX, y + halfY),
      ],
      centre: map(x, y),
    }
  })
}
