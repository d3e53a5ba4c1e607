import { type Chart, type ChartPatch, given, IsochipError, type Warning } from '@isochip/core'
import type { CgatsFile, CgatsSample } from './parseCgats.ts'

const plain = (name: string) => name.toLowerCase().replace(/[^a-z0-9.]/g, '')

/**
 * The chart with measured reference values, without the dates of those that it had. Samples go to patches by name, then
 * by id; where none of either is a patch's, and there are as many samples as patches, by their order, which `warnings`
 * tells.
 *
 * @throws IsochipError `patches-missing` when a patch has no sample
 */
export function chartWithReference(
  chart: Chart,
  measured: CgatsFile,
): { readonly chart: Chart; readonly warnings: readonly Warning[] } {
  const file = measured.reference.source
  const place = given({ file })
  const byName = new Map<string, CgatsSample>()
  for (const sample of measured.samples) byName.set(plain(sample.id), sample)
  for (const sample of measured.samples) if (sample.name !== undefined) byName.set(plain(sample.name), sample)
  const found = chart.patches.map((patch) => byName.get(plain(patch.name)))
  const missing = chart.patches.filter((_, i) => found[i] === undefined)
  const byOrder = missing.length === chart.patches.length && measured.samples.length === chart.patches.length
  if (missing.length > 0 && !byOrder)
    throw new IsochipError(
      'patches-missing',
      `${missing.length} of the ${chart.patches.length} patches of chart ${chart.id} have no sample: ` +
        missing.map((patch) => `"${patch.name}"`).join(', '),
      {
        hint: 'name the samples as the chart names its patches, or give one sample per patch, row by row',
        place,
      },
    )
  const patches = chart.patches.map(
    // A spectrum that the chart had is that of another specimen.
    ({ reflectance: _, ...patch }, i): ChartPatch => {
      const { value, spectrum } = byOrder ? measured.samples[i]! : found[i]!
      return { ...patch, value, ...given({ reflectance: spectrum }) }
    },
  )
  const order: Warning = {
    code: 'matched-by-order',
    message: `no sample is named as a patch of chart ${chart.id}; they were taken row by row, "${measured.samples[0]?.id}" as "${chart.patches[0]?.name}"`,
    place,
  }
  // The dates are those of other values.
  const { measured: _, replaceBy: __, wavelengths: ___, ...rest } = chart
  return {
    chart: {
      ...rest,
      patches,
      reference: measured.reference,
      ...given({ wavelengths: measured.wavelengths }),
    },
    warnings: byOrder ? [...measured.warnings, order] : measured.warnings,
  }
}
