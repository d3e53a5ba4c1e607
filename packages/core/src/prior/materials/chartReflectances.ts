import { builtinChart } from '../../chart/builtin.ts'
import type { Chart } from '../../chart/chart.ts'
import { remember } from '../../remember.ts'
import { atKnots } from '../knots.ts'

/**
 * The spectral reflectance of a chart's patches on the knots, by name; empty for a chart whose spectra are not known. A
 * chart file of the built-in chart that was written before it had spectra has those of the built-in one.
 */
export const chartReflectances = remember((chart: Chart): ReadonlyMap<string, Float64Array> => {
  const { patches, wavelengths } =
    chart.wavelengths === undefined && chart.id === 'chart24' ? builtinChart(chart.id) : chart
  if (wavelengths === undefined) return new Map()
  return new Map(
    patches.flatMap(({ name, reflectance }) =>
      reflectance === undefined ? [] : [[name, atKnots(wavelengths, reflectance)]],
    ),
  )
})
