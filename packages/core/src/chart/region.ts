import type { ChartPoint, ChartRegion, RegionChart } from './chart.ts'

/** The region of a patch of a chart of regions, each of which has one. */
export function regionOf({ id, patches }: RegionChart, index: number): ChartRegion {
  const region = patches[index]?.region
  if (region === undefined) throw new RangeError(`patch ${index} of chart ${id} has no region`)
  return region
}

/** Area of a region, in squares of the unit of the chart. */
export const regionArea = (region: ChartRegion): number =>
  'circle' in region ? Math.PI * region.circle.radius ** 2 : Math.abs(twiceArea(region.polygon)) / 2

/** The centroid of a region's area. */
export function regionCentre(region: ChartRegion): ChartPoint {
  if ('circle' in region) return region.circle.centre
  const { polygon } = region
  const [ox, oy] = polygon[0]!
  let x = 0
  let y = 0
  polygon.forEach(([ax, ay], k) => {
    const [bx, by] = polygon[(k + 1) % polygon.length]!
    const twice = (ax - ox) * (by - oy) - (bx - ox) * (ay - oy)
    x += twice * (ax + bx - 2 * ox)
    y += twice * (ay + by - 2 * oy)
  })
  const scale = 1 / (3 * twiceArea(polygon))
  return [ox + scale * x, oy + scale * y]
}

/** Twice the signed area; positive for corners that run clockwise as seen, y down. */
export function twiceArea(polygon: readonly ChartPoint[]): number {
  const [ox, oy] = polygon[0]!
  return polygon.reduce((sum, [ax, ay], k) => {
    const [bx, by] = polygon[(k + 1) % polygon.length]!
    return sum + (ax - ox) * (by - oy) - (bx - ox) * (ay - oy)
  }, 0)
}
