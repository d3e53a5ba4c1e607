import {
  type ChartPoint,
  cos,
  hypot,
  type RegionChart,
  regionArea,
  regionOf,
  sin,
  twiceArea,
} from '@isochip/core'
import { constants } from '../constants.ts'

/** A point of the outline of a patch. */
export interface EdgePoint {
  readonly patch: number
  /** In the chart's coordinates. */
  readonly at: ChartPoint
  /** Outwards, of length 1. */
  readonly normal: ChartPoint
  /** Half the width of the patch, were it a square. */
  readonly half: number
}

/** Points about every region at which its edge is looked for; corners, where edges bend, are kept away from. */
export function outlinePoints(chart: RegionChart): readonly EdgePoint[] {
  const { around, alongSide } = constants.regions.refine
  return chart.patches.flatMap((_, patch): EdgePoint[] => {
    const region = regionOf(chart, patch)
    const half = Math.sqrt(regionArea(region)) / 2
    if ('circle' in region) {
      const { centre, radius } = region.circle
      return Array.from({ length: around }, (_, k) => {
        const turn = (2 * Math.PI * (k + 0.5)) / around
        const normal = [cos(turn), sin(turn)] as const
        return { patch, half, normal, at: [centre[0] + radius * normal[0], centre[1] + radius * normal[1]] }
      })
    }
    const { polygon } = region
    const side = Math.sign(twiceArea(polygon))
    return polygon.flatMap((a, k) => {
      const b = polygon[(k + 1) % polygon.length]!
      const [dx, dy] = [b[0] - a[0], b[1] - a[1]]
      const length = hypot(dx, dy)
      // A short side, as of a polygon that is nearly round, has room for one.
      const share = length < half ? [0.5] : alongSide
      return share.map((t) => ({
        patch,
        half,
        normal: [(side * dy) / length, (-side * dx) / length] as const,
        at: [a[0] + t * dx, a[1] + t * dy] as const,
      }))
    })
  })
}
