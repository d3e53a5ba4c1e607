import type { ComparisonFile, ResponseReport } from './responseReport.ts'

/** The comparison as one JSON document, `compare/1`, with all its digits. Same input, same bytes. */
export function responsesJson({ title, chart, setups, assumptions, failures }: ResponseReport): string {
  // Of the place only what is no path: those differ from machine to machine.
  const failed = failures.map(({ code, message, place: { camera, setup } }) => ({
    code,
    message,
    place: { ...(camera !== undefined && { camera }), ...(setup !== undefined && { setup }) },
  }))
  const document: ComparisonFile = {
    isochip: 'compare/1',
    title,
    chart,
    setups,
    assumptions,
    failures: failed,
  }
  return `${JSON.stringify(document, null, 2)}\n`
}
