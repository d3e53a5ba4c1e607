import type { ShowMatch } from '@isochip/show/node'
import { faultOf } from './faultOf.ts'
import type { Run } from './run.ts'
import { status } from './status.ts'
import { errorText, warningText } from './text/errorText.ts'

/** Prints a matched show, and sets the exit status to what came out. */
export async function showResult(
  { terminal, setStatus }: Run,
  result: ShowMatch,
  options: {
    readonly json?: boolean
    readonly markdown?: boolean
    readonly patches?: boolean
    readonly strict?: boolean
  },
): Promise<void> {
  const { report, failures, cautions, within, doubtful, files, out } = result
  const { markdown, reportJson, residualTable } = await import('@isochip/report')
  if (options.json) {
    const { isochip: _, ...rest } = JSON.parse(reportJson(report)) as Record<string, unknown>
    const document = { isochip: 'match-result/3', out, files, failures: failures.map(faultOf), ...rest }
    terminal.out(`${JSON.stringify(document, null, 2)}\n`)
  } else if (options.markdown) terminal.out(markdown(report))
  else {
    terminal.out(
      residualTable(report, {
        width: terminal.width,
        colour: terminal.colour,
        patches: options.patches ?? false,
      }),
    )
  }
  for (const caution of cautions) terminal.err(warningText(caution, terminal))
  for (const failure of failures) terminal.err(errorText(failure, terminal))
  if (failures.length > 0) {
    const others = report.setups.flatMap(({ cameras }) => cameras).length
    terminal.err(
      `The files of the other ${others === 1 ? 'shot' : `${others} shots`} of the show are written.\n`,
    )
    setStatus(status.input)
  }
  if (failures.length === 0 && (!within || (options.strict && doubtful > 0))) setStatus(status.outOfTolerance)
}
