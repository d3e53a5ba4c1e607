import { type RegionChart, regionArea, regionOf } from '@isochip/core'

/** The width of a patch of a chart of regions, were all squares, and of one size: in the chart's unit. */
export const meanSide = (chart: RegionChart): number =>
  Math.sqrt(
    chart.patches.reduce((sum, _, k) => sum + regionArea(regionOf(chart, k)), 0) / chart.patches.length,
  )
