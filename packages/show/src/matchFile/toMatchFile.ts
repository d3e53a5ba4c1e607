import type { SetupMatch } from '../fit/matchSetup.ts'
import type { ShowPlan } from '../load/planShow.ts'
import { version } from '../version.ts'
import { colourSpaces, type MatchFile, matchFilePatch } from './matchFile.ts'

/** The match file of one camera in one setup. */
export function toMatchFile(plan: ShowPlan, one: SetupMatch): MatchFile {
  const { show, chart } = plan
  const { match } = one
  return {
    isochip: 'match/2',
    title: show.title,
    camera: one.camera,
    setup: one.setup,
    isTarget: one.isTarget,
    ...(one.borrowed === undefined ? {} : { borrowed: one.borrowed }),
    sourceEncoding: one.source.spec,
    outputEncoding: plan.output.spec,
    bits: one.bits,
    working: show.working,
    target: show.target,
    view: match.view,
    requested: match.requested,
    model: match.model,
    spaces: colourSpaces,
    patches: match.patches.map(matchFilePatch),
    summary: match.summary,
    ...(match.curve === undefined ? {} : { curve: match.curve }),
    ...(match.encodingDoubt === undefined ? {} : { encodingDoubt: match.encodingDoubt }),
    diagnosis: match.diagnosis,
    onSet: match.onSet,
    warnings: match.warnings,
    provenance: { version, inputs: one.inputs, options: { fit: show.fit, chart: chart.id } },
  }
}
