import { readFile } from 'node:fs/promises'
import { basename } from 'node:path'
import { type Chart, chartInLight, IsochipError } from '@isochip/core'
import { readLight } from './readLight.ts'

/**
 * A chart with the values that its spectra have in a light.
 *
 * @param light a CIE illuminant, or the path of a measured light (CSV or CGATS)
 * @throws IsochipError `target-invalid` for a chart without spectra, or for what is no light
 */
export async function readChartInLight(chart: Chart, light: string, observer: 2 | 10): Promise<Chart> {
  const power = await readLight(light, light, {}, readFile)
  const seen = chartInLight(chart, power, observer)
  if (seen === undefined)
    throw new IsochipError('target-invalid', `the chart ${chart.id} has no spectra to see in another light`, {
      hint: 'measure its spectral reflectance and put it into a chart file, or measure the print as CGATS',
    })
  return {
    ...chart,
    reference: {
      space: 'XYZ',
      illuminant: typeof power === 'string' ? power : { white: seen.white },
      observer,
      source: `computed from the spectra${typeof power === 'string' ? '' : ` under ${basename(light)}`}`,
    },
    patches: chart.patches.map(({ value: _, ...patch }) => {
      const xyz = seen.xyz.get(patch.name)
      return xyz === undefined ? patch : { ...patch, value: xyz }
    }),
  }
}
