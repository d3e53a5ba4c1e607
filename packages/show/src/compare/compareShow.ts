import { given, IsochipError, metamerismAssumptions } from '@isochip/core'
import type { ComparisonFile } from '@isochip/report'
import { loadShow } from '../load/loadShow.ts'
import { joinedFailures } from '../progress/joinedFailures.ts'
import { type ReadShowOptions, readShow } from '../read/readShow.ts'
import type { Show } from '../showFile/show.ts'
import { compareReadings, type SetupComparison } from './compareReadings.ts'

export interface Comparison extends Omit<ComparisonFile, 'isochip' | 'failures'> {
  /** Cameras that could not be read, and why. */
  readonly failures: readonly IsochipError[]
}

/**
 * Reads a show's charts and compares the responses of its cameras, setup by setup.
 *
 * @throws IsochipError for whatever is wrong with the show; where fewer than two cameras of a setup are left anywhere,
 *   the first reason, or `usage`
 */
export async function compareShow(
  show: string | Show,
  options: ReadShowOptions & { readonly folder?: string } = {},
): Promise<Comparison> {
  const loaded = await loadShow(show, options.folder)
  const { plan } = loaded
  const { sheets, failures } = await readShow(loaded, options)
  const setups: SetupComparison[] = []
  for (const [setup, shots] of sheets) {
    if (shots.length > 1) setups.push(compareReadings(plan, setup, shots))
  }
  if (setups.length === 0) {
    if (failures.length > 0) throw joinedFailures(failures)
    throw new IsochipError('usage', 'no setup of the show has two cameras to be compared', {
      place: given({ file: loaded.file }),
    })
  }
  return {
    title: plan.show.title,
    chart: plan.chart.id,
    setups,
    assumptions: metamerismAssumptions,
    failures,
  }
}
