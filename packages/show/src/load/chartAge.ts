import type { Chart, Warning } from '@isochip/core'

/**
 * A caution about a chart that is past its date: pigments fade, and nobody sees it by eye.
 *
 * @param today ISO date, YYYY-MM-DD; it is passed in, so that nothing that is written depends on a clock
 */
export function chartAge(chart: Chart, today: string): Warning | undefined {
  // ISO dates sort as texts.
  if (chart.replaceBy === undefined || today <= chart.replaceBy) return undefined
  const measured = chart.measured === undefined ? '' : ` (it was measured on ${chart.measured})`
  return {
    code: 'chart-old',
    message: `chart ${chart.id} was to be replaced by ${chart.replaceBy}${measured}: measure it again before you trust its values`,
  }
}
