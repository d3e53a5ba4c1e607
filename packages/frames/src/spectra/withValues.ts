import { type Chart, chartInLight } from '@isochip/core'

/** A chart of which only spectra are known, with the colours of its patches under D65. */
export function withValues(chart: Chart): Chart {
  const seen = chart.reference === undefined ? chartInLight(chart, 'D65') : undefined
  if (seen === undefined) return chart
  return {
    ...chart,
    reference: { space: 'XYZ', illuminant: 'D65', observer: 2, source: 'computed from the spectra' },
    patches: chart.patches.map((patch) => {
      const value = seen.xyz.get(patch.name)
      return value === undefined ? patch : { ...patch, value }
    }),
  }
}
