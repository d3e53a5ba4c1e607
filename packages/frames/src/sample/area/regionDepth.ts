import { type ChartPoint, type ChartRegion, hypot } from '@isochip/core'

/** How deep in a region a point lies: its distance from the edge, in the chart's unit; negative outside. */
export function regionDepth(region: ChartRegion, [x, y]: ChartPoint): number {
  if ('circle' in region) {
    const { centre, radius } = region.circle
    return radius - hypot(x - centre[0], y - centre[1])
  }
  const { polygon } = region
  let nearest = Number.POSITIVE_INFINITY
  let within = false
  polygon.forEach(([ax, ay], k) => {
    const [bx, by] = polygon[(k + 1) % polygon.length]!
    if (ay > y !== by > y && x < ax + ((y - ay) / (by - ay)) * (bx - ax)) within = !within
    const along = ((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / ((bx - ax) ** 2 + (by - ay) ** 2)
    const t = Math.max(0, Math.min(1, along))
    nearest = Math.min(nearest, hypot(ax + t * (bx - ax) - x, ay + t * (by - ay) - y))
  })
  return within ? nearest : -nearest
}
