import { type Chart, given } from '@isochip/core'

/** The text of a chart file; `parseChart` reads it back to the same chart. One patch a line. */
export function chartToJson(chart: Chart): string {
  const head = {
    isochip: 'chart/1',
    id: chart.id,
    title: chart.title,
    ...(chart.regions === undefined
      ? { rows: chart.rows, columns: chart.columns }
      : { regions: chart.regions }),
    ...given({ reference: chart.reference, wavelengths: chart.wavelengths }),
  }
  const tail = {
    ...(chart.regions === undefined ? { geometry: chart.geometry } : {}),
    ...given({ measured: chart.measured, replace_by: chart.replaceBy }),
  }
  const lines = (part: object) =>
    Object.entries(part).map(([name, value]) => `  ${JSON.stringify(name)}: ${JSON.stringify(value)}`)
  const patches = chart.patches.map(
    ({ name, role, region, value, reflectance }) =>
      `    ${JSON.stringify({ name, role, region, value, reflectance })}`,
  )
  const body = [...lines(head), `  "patches": [\n${patches.join(',\n')}\n  ]`, ...lines(tail)]
  return `{\n${body.join(',\n')}\n}\n`
}
