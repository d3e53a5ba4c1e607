import type { SetupMatch } from '../fit/matchSetup.ts'
import type { ShowPlan } from '../load/planShow.ts'
import { version } from '../version.ts'
import { colourSpaces, type MatchFile } from './matchFile.ts'

/** The match file of one camera in one setup. */
export function toMatchFile({ show, chart, output }: ShowPlan, one: SetupMatch): MatchFile {
  const { match } = one
  const common = {
    isochip: 'match/3',
    title: show.title,
    camera: one.camera,
    setup: one.setup,
    ...(one.borrowed === undefined ? {} : { borrowed: one.borrowed }),
    sourceEncoding: one.source.spec,
    outputEncoding: output.spec,
    bits: one.bits,
    working: show.working,
    target: show.target,
    spaces: colourSpaces,
  } as const
  const provenance = { version, inputs: one.inputs, options: { fit: show.fit, chart: chart.id } }
  if (match.kind === 'reference') return { ...common, ...match, provenance }
  const { declared: _, ...rest } = match
  return { ...common, ...rest, provenance }
}
