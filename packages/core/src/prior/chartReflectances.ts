import type { Chart } from '../chart/chart.ts'
import { reflectances24 } from '../chart/reflectances24.ts'
import { knots } from './knots.ts'

/**
 * The spectral reflectance of a chart's patches on the knots, by name; empty for a chart whose spectra are not known.
 */
export function chartReflectances(chart: Chart): ReadonlyMap<string, Float64Array> {
  if (chart.id !== 'chart24') return new Map()
  return new Map(
    chart.patches.map(({ name }, p) => {
      const digits = reflectances24[p]!
      return [
        name,
        Float64Array.from({ length: knots.count }, (_, k) => Number(digits.slice(3 * k, 3 * k + 3)) / 1000),
      ]
    }),
  )
}
