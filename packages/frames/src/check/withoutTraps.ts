import type { Chart } from '@isochip/core'

const known = new WeakMap<Chart, Chart>()

/** A chart's patches that have colours: all but its light traps. The chart itself where it has none of these. */
export function withoutTraps(chart: Chart): Chart {
  if (chart.patches.every(({ role }) => role !== 'true-black')) return chart
  const before = known.get(chart)
  if (before !== undefined) return before
  const less = { ...chart, patches: chart.patches.filter(({ role }) => role !== 'true-black') }
  // What is worked out of a chart is kept by it.
  known.set(chart, less)
  return less
}
