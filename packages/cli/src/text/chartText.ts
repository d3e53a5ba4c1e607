import type { Chart } from '@isochip/core'

export function chartList(charts: readonly Chart[]): string {
  const width = Math.max(...charts.map(({ id }) => id.length))
  return charts.map(({ id, title }) => `${id.padEnd(width)}  ${title}\n`).join('')
}

/** A chart and its values, one line a patch. */
export function chartText(chart: Chart): string {
  const { id, title, rows, columns, patches, reference, measured, replaceBy } = chart
  const lines = [`${id}: ${title}`, `${columns} columns, ${rows} rows, row by row from the first patch`]
  if (reference !== undefined) {
    const { space, illuminant, observer, source } = reference
    const white = typeof illuminant === 'string' ? illuminant : `white ${illuminant.white.join(', ')}`
    lines.push(`values: ${space}, ${white}, ${observer}° observer`)
    if (source !== undefined) lines.push(`source: ${source}`)
  }
  if (measured !== undefined) lines.push(`measured: ${measured}`)
  if (replaceBy !== undefined) lines.push(`to be replaced: ${replaceBy}`)
  const width = Math.max(...patches.map(({ name }) => name.length))
  const digits = reference?.space === 'Lab' ? 2 : 4
  lines.push('')
  for (const [index, { name, role, value }] of patches.entries()) {
    const numbers = (value ?? []).map((v) => v.toFixed(digits).padStart(9)).join('')
    lines.push(`${String(index + 1).padStart(3)}  ${name.padEnd(width)}${numbers}  ${role ?? ''}`.trimEnd())
  }
  return `${lines.join('\n')}\n`
}
