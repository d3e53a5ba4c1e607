import { type Chart, type Mat3, type RegionChart, regionOf } from '@isochip/core'
import { mapQuad, type Point, project, type Quad } from '../../geometry/homography.ts'
import { insetRegion } from './insetRegion.ts'

/** Where a patch is sampled. */
export interface PatchArea {
  readonly patch: string
  /**
   * The sampled quad in pixels: clockwise from its corner nearest to the first patch's outer corner. Of a region that is not
   * four-sided, a quad within its outline.
   */
  readonly quad: Quad
  /** The outline of the sampled part, convex, where that is not the quad. */
  readonly outline?: readonly Point[]
  readonly centre: Point
}

/** A point of the chart (fractions of the patch grid, or of the size of a chart of regions, 0…1 across and down) → pixels. */
export type ChartMap = (across: number, down: number) => Point

export const chartMap =
  (map: Mat3): ChartMap =>
  (across, down) =>
    project(map, across, down)

/**
 * The inner part of every patch of a chart.
 *
 * @param map chart fractions → pixels
 * @param share width of the sampled part over the width of the patch, 0…1; see `insetRegion` for regions
 */
export function patchAreas(chart: Chart, map: ChartMap, share: number): readonly PatchArea[] {
  if (chart.regions !== undefined) return regionAreas(chart, map, share)
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

function regionAreas(chart: RegionChart, map: ChartMap, share: number): readonly PatchArea[] {
  const [width, height] = chart.regions.size
  const place = ([x, y]: Point) => map(x / width, y / height)
  return chart.patches.map(({ name }, index) => {
    const { outline, quad, centre } = insetRegion(regionOf(chart, index), share)
    return {
      patch: name,
      quad: mapQuad(quad, place),
      ...(outline.length === 4 ? {} : { outline: outline.map(place) }),
      centre: place(centre),
    }
  })
}
